//! Code that is seldom needed: in the page as it is published it lies in files of its own, loaded when it is first called.

/// Why the code of a function did not come; where the page is not in the module, it always does.
#[cfg(feature = "page")]
pub(crate) type NotCome = leptos::wasm_split::SplitLoaderError;
#[cfg(not(feature = "page"))]
pub(crate) type NotCome = std::convert::Infallible;

/// Says in which file the code of a function lies: one that is called and waited for, and fails when its file does not
/// come. What several files share goes into one more for every such several, so few files are named:
///
/// | file | what is in it |
/// |---|---|
/// | `solo` | the solo, as far as it is seen first |
/// | `later` | what lies below its picture; what is read of texts that were kept; what is said to workers |
/// | `course` | the course, and the work that teachers set |
/// | `places` | the other rooms, the sheets, files and links |
///
/// Without the feature `split` all code is in one. *Invariant:* nothing else names what such a function calls, or that
/// code would come with the frame.
macro_rules! apart {
    ($($(#[$about:meta])* $vis:vis fn $name:ident($($arg:ident: $kind:ty),*) -> $out:ty, in $file:ident $does:block)*) => {$(
        $(#[$about])*
        #[cfg(feature = "split")]
        #[leptos::wasm_split::wasm_split($file, wasm_split_path = ::leptos::wasm_split, fallible)]
        $vis fn $name($($arg: $kind),*) -> Result<$out, $crate::platform::apart::NotCome> {
            Ok($does)
        }

        $(#[$about])*
        #[cfg(not(feature = "split"))]
        $vis async fn $name($($arg: $kind),*) -> Result<$out, $crate::platform::apart::NotCome> {
            Ok($does)
        }
    )*};
}

pub(crate) use apart;
