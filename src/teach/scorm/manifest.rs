//! What a package says of itself: `imsmanifest.xml`, and the line in its entry page.
//!
//! Source: "The SCORM Content Aggregation Model", version 1.2, section 2.3. The schemas that it names beside the
//! manifest (`imscp_rootv1p1p2.xsd`, `adlcp_rootv1p2.xsd`) belong to others and are not in the package; platforms have
//! their own.
//!
//! *Invariant:* every file of the package is named, and nothing else is.

use super::Content;
use crate::exchange::link::LinkError;
use crate::words::Said;
use quick_xml::escape::escape;
use std::fmt::Write as _;
use thiserror::Error;

/// The page that a platform opens.
pub const ENTRY: &str = "index.html";
/// The name of the line in the entry page that says what the package holds.
pub const CONTENT: &str = "leadbar-package";
/// The longest title, in characters, that every platform has to take (section 2.3.2, `title`).
const MOST_TITLE: usize = 200;

/// Why there can be no package.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum PackageError {
    /// The work is too long.
    Link(#[from] LinkError),
    /// The list of the page's files has none, or one that cannot be.
    NoList,
    /// The entry page is not the one that was built.
    NoHead,
}

impl PackageError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Link(error) => error.said(),
            Self::NoList => {
                said!("the page's list of its own files can't be read: load the page again, then try again")
            }
            Self::NoHead => said!(
                "the page's own {entry} is not as it was built: load the page again, then try again",
                entry = ENTRY
            ),
        }
    }
}

/// The manifest of a package.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Manifest<'a> {
    /// Sets the package apart: letters, figures and dashes.
    pub id: &'a str,
    /// What the platform shows.
    pub title: &'a str,
    /// Every file beside the manifest, by its path in the package.
    pub files: &'a [String],
}

impl Manifest<'_> {
    /// What it is called, at the top of the package.
    pub const NAME: &'static str = "imsmanifest.xml";

    /// The manifest's text.
    #[must_use]
    pub fn text(&self) -> String {
        // XML 1.0 has no place for characters that control something.
        let title: String = self
            .title
            .chars()
            .filter(|c| !c.is_control())
            .take(MOST_TITLE)
            .collect();
        let title = escape(&title).into_owned();
        let id = escape(self.id);
        let mut files = String::new();
        for file in self.files {
            let _ = write!(files, "\n      <file href=\"{}\"/>", escape(file));
        }
        format!(
            r#"<?xml version="1.0" encoding="UTF-8"?>
<manifest identifier="{id}" version="1.0"
  xmlns="http://www.imsproject.org/xsd/imscp_rootv1p1p2"
  xmlns:adlcp="http://www.adlnet.org/xsd/adlcp_rootv1p2"
  xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"
  xsi:schemaLocation="http://www.imsproject.org/xsd/imscp_rootv1p1p2 imscp_rootv1p1p2.xsd
    http://www.adlnet.org/xsd/adlcp_rootv1p2 adlcp_rootv1p2.xsd">
  <metadata>
    <schema>ADL SCORM</schema>
    <schemaversion>1.2</schemaversion>
  </metadata>
  <organizations default="{id}-all">
    <organization identifier="{id}-all">
      <title>{title}</title>
      <item identifier="{id}-item" identifierref="{id}-page" isvisible="true">
        <title>{title}</title>
      </item>
    </organization>
  </organizations>
  <resources>
    <resource identifier="{id}-page" type="webcontent" adlcp:scormtype="sco" href="{ENTRY}">{files}
    </resource>
  </resources>
</manifest>
"#
        )
    }
}

/// The entry page of a package: the page's own, with a line that says what the package holds.
///
/// # Errors
/// When the work is too long, or the page has no head.
pub fn entry_page(page: &str, content: &Content) -> Result<String, PackageError> {
    let word = content.word()?;
    let (before, after) = page.split_once("</head>").ok_or(PackageError::NoHead)?;
    // A word is of letters, figures, `=`, `-` and `_`: nothing in it needs escaping.
    Ok(format!(
        "{before}<meta name=\"{CONTENT}\" content=\"{word}\">\n</head>{after}"
    ))
}

/// The files that a list names, one a line.
///
/// # Errors
/// When it names none, or has no entry page.
pub fn listed(list: &str) -> Result<Vec<String>, PackageError> {
    let files: Vec<String> = list.lines().filter(|l| !l.is_empty()).map(str::to_owned).collect();
    if files.iter().any(|file| file == ENTRY) {
        Ok(files)
    } else {
        Err(PackageError::NoList)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quick_xml::Reader;
    use quick_xml::events::Event;

    #[test]
    fn a_title_of_any_signs_leaves_a_manifest_that_an_xml_reader_takes() {
        let files = [ENTRY.to_owned(), "css/base.css".to_owned()];
        let manifest = Manifest {
            id: "leadbar-0f",
            title: "Week \"three\" <&> Öl\u{1}",
            files: &files,
        };
        let text = manifest.text();
        let mut reader = Reader::from_str(&text);
        let mut named = Vec::new();
        let mut words = String::new();
        loop {
            match reader.read_event().unwrap() {
                Event::Eof => break,
                Event::Empty(tag) if tag.name().as_ref() == "file" => {
                    let href = tag.attributes().flatten().next().unwrap();
                    named.push(href.value.into_owned());
                }
                Event::Text(text) => words.push_str(&text),
                _ => {}
            }
        }
        assert_eq!(named, files);
        assert!(!words.contains('\u{1}') && words.contains("Öl"));
    }

    #[test]
    fn the_entry_page_says_what_is_inside_and_stays_as_it_is_otherwise() {
        let page = "<!doctype html><html><head>\n<title>x</title>\n</head><body></body></html>";
        let entry = entry_page(page, &Content::Course).unwrap();
        let line = "<meta name=\"leadbar-package\" content=\"course\">\n";
        assert_eq!(entry.replace(line, ""), page);
        assert_eq!(entry_page("nothing", &Content::Course), Err(PackageError::NoHead));
    }

    #[test]
    fn a_list_without_the_entry_page_is_refused() {
        assert_eq!(
            listed("index.html\nleadbar.js\n").unwrap(),
            ["index.html", "leadbar.js"]
        );
        assert_eq!(listed("<!doctype html>"), Err(PackageError::NoList));
    }
}
