//! Several files in one: a ZIP archive put together from pieces, its files stored as they are or deflated beforehand.
//!
//! Sound hardly packs and is stored, and a stem's bytes are known long before its checksum is: so the bytes may be put away first,
//! wherever there is room, and what stands before them in the archive is made when all is known. (Crates that stream
//! an archive want one file after another, or write the checksum behind the file, which not every reader takes.)
//!
//! Layout: PKWARE, "APPNOTE.TXT - .ZIP File Format Specification", 4.3.7 local file header, 4.3.12 central directory,
//! 4.3.16 end of it.
//!
//! *Invariant:* the pieces in the order they are handed out, each followed by its file's bytes, are an archive of
//! [`Parcel::size`] bytes.

use super::moment::Moment;
use crate::words::Said;
use thiserror::Error;

/// The version of the format that a reader must know: folders, stored and deflated files.
const VERSION: u16 = 20;
/// Compression methods (4.4.5).
const STORED: u16 = 0;
const DEFLATED: u16 = 8;
const LOCAL_HEADER: u64 = 30;
const DIRECTORY_HEADER: u64 = 46;
const END: u64 = 22;

/// Why a file can't be added.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum ParcelError {
    /// Its sizes have 32 bits.
    TooLarge,
    /// Two files of a name.
    Twice(String),
    /// A name that is no plain file name.
    Name(String),
}

impl ParcelError {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::TooLarge => said!("the parcel would be larger than 4 GB: choose fewer stems, or fewer bits"),
            Self::Twice(what) => said!("there would be two files called {what}", what),
            Self::Name(what) => said!(
                "\"{what}\" is no name for a file: use letters, figures, dots, dashes and underscores",
                what
            ),
        }
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Entry {
    name: String,
    method: u16,
    size: u32,
    packed: u32,
    checksum: u32,
    offset: u32,
}

/// A file's bytes as they lie in the archive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bytes {
    /// How many there are once unpacked.
    pub size: u64,
    /// How many there are when deflated (RFC 1951); nothing for bytes stored as they are.
    pub deflated: Option<u64>,
    /// CRC-32 of the unpacked bytes.
    pub checksum: u32,
}

/// An archive in the making.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parcel {
    written: Moment,
    entries: Vec<Entry>,
    offset: u64,
}

impl Parcel {
    /// An empty archive.
    #[must_use]
    pub fn new(written: Moment) -> Self {
        Self {
            written,
            entries: Vec::new(),
            offset: 0,
        }
    }

    /// Adds a file of `size` bytes with this CRC-32, and gives what stands before its bytes.
    ///
    /// # Errors
    /// When its name is taken or not plain, or the archive would be too large.
    pub fn add(&mut self, name: &str, size: u64, checksum: u32) -> Result<Vec<u8>, ParcelError> {
        if !is_plain(name) {
            return Err(ParcelError::Name(name.to_owned()));
        }
        let deflated = None;
        self.put(
            name,
            Bytes {
                size,
                deflated,
                checksum,
            },
        )
    }

    /// Adds a file that may lie in folders, such as `css/base.css`, and gives what stands before its bytes.
    ///
    /// # Errors
    /// When its path is taken or no path of plain names, or the archive would be too large.
    pub fn add_at(&mut self, path: &str, bytes: Bytes) -> Result<Vec<u8>, ParcelError> {
        if !path.split('/').all(is_plain) {
            return Err(ParcelError::Name(path.to_owned()));
        }
        self.put(path, bytes)
    }

    fn put(&mut self, name: &str, bytes: Bytes) -> Result<Vec<u8>, ParcelError> {
        if self.entries.iter().any(|entry| entry.name == name) {
            return Err(ParcelError::Twice(name.to_owned()));
        }
        let fits = |size: u64| u32::try_from(size).map_err(|_| ParcelError::TooLarge);
        let packed = bytes.deflated.unwrap_or(bytes.size);
        let next = self.offset + LOCAL_HEADER + name.len() as u64 + packed;
        fits(next + self.directory_size() + DIRECTORY_HEADER + name.len() as u64 + END)?;
        let entry = Entry {
            name: name.to_owned(),
            method: if bytes.deflated.is_some() { DEFLATED } else { STORED },
            size: fits(bytes.size)?,
            packed: fits(packed)?,
            checksum: bytes.checksum,
            offset: fits(self.offset)?,
        };
        let mut out = b"PK\x03\x04".to_vec();
        self.describe(&entry, &mut out);
        out.extend_from_slice(name.as_bytes());
        self.offset = next;
        self.entries.push(entry);
        Ok(out)
    }

    /// Bytes of all files that have been added so far, with what stands before each.
    #[must_use]
    pub fn laid(&self) -> u64 {
        self.offset
    }

    /// Bytes of the archive with what has been added so far.
    #[must_use]
    pub fn size(&self) -> u64 {
        self.offset + self.directory_size() + END
    }

    /// What stands behind the last file.
    #[must_use]
    #[allow(clippy::cast_possible_truncation)] // held within 32 bits by `add`
    pub fn close(self) -> Vec<u8> {
        let mut out = Vec::new();
        for entry in &self.entries {
            out.extend_from_slice(b"PK\x01\x02");
            out.extend_from_slice(&VERSION.to_le_bytes());
            self.describe(entry, &mut out);
            // No comment, first disk, no attributes.
            out.extend_from_slice(&[0; 10]);
            out.extend_from_slice(&entry.offset.to_le_bytes());
            out.extend_from_slice(entry.name.as_bytes());
        }
        let (count, size) = (self.entries.len() as u16, out.len() as u32);
        out.extend_from_slice(b"PK\x05\x06\0\0\0\0");
        out.extend_from_slice(&count.to_le_bytes());
        out.extend_from_slice(&count.to_le_bytes());
        out.extend_from_slice(&size.to_le_bytes());
        out.extend_from_slice(&(self.offset as u32).to_le_bytes());
        // No comment.
        out.extend_from_slice(&[0; 2]);
        out
    }

    fn directory_size(&self) -> u64 {
        let each = |entry: &Entry| DIRECTORY_HEADER + entry.name.len() as u64;
        self.entries.iter().map(each).sum()
    }

    /// What both headers say of a file, from the version a reader needs to the length of the name.
    #[allow(clippy::cast_possible_truncation)] // a plain name is short
    fn describe(&self, entry: &Entry, out: &mut Vec<u8>) {
        let (time, date) = self.written.packed();
        out.extend_from_slice(&VERSION.to_le_bytes());
        // No flags.
        out.extend_from_slice(&[0; 2]);
        out.extend_from_slice(&entry.method.to_le_bytes());
        out.extend_from_slice(&time.to_le_bytes());
        out.extend_from_slice(&date.to_le_bytes());
        out.extend_from_slice(&entry.checksum.to_le_bytes());
        out.extend_from_slice(&entry.packed.to_le_bytes());
        out.extend_from_slice(&entry.size.to_le_bytes());
        out.extend_from_slice(&(entry.name.len() as u16).to_le_bytes());
        // No extra field.
        out.extend_from_slice(&[0; 2]);
    }
}

/// Whether every system takes this as the name of one file.
fn is_plain(name: &str) -> bool {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"._-".contains(&byte);
    (1..=200).contains(&name.len()) && name.bytes().all(plain) && !name.starts_with('.')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pieces_and_the_files_make_an_archive_of_the_size_that_was_said() {
        let files: [(&str, &[u8]); 2] = [("a.txt", b"one"), ("b.wav", b"")];
        let mut parcel = Parcel::new(Moment::EARLIEST);
        let mut archive = Vec::new();
        for (name, bytes) in files {
            archive.extend(parcel.add(name, bytes.len() as u64, crc32fast::hash(bytes)).unwrap());
            archive.extend_from_slice(bytes);
        }
        let size = parcel.size();
        archive.extend(parcel.close());
        assert_eq!(archive.len() as u64, size);
        assert!(archive.starts_with(b"PK\x03\x04") && archive[30..].starts_with(b"a.txtone"));
    }

    #[test]
    fn names_that_could_harm_or_collide_are_refused() {
        let mut parcel = Parcel::new(Moment::EARLIEST);
        for name in ["", "../up", "a/b", "a b", "gr\u{fc}n", ".hidden", "a\n"] {
            assert!(matches!(parcel.add(name, 0, 0), Err(ParcelError::Name(_))), "{name}");
        }
        parcel.add("a", 1, 1).unwrap();
        assert_eq!(parcel.add("a", 1, 1), Err(ParcelError::Twice("a".to_owned())));
    }

    #[test]
    fn files_lie_in_folders_by_plain_names_and_may_be_deflated() {
        let mut parcel = Parcel::new(Moment::EARLIEST);
        let text = b"one one one one one one one one";
        let packed = miniz_oxide::deflate::compress_to_vec(text, 9);
        let bytes = Bytes {
            size: text.len() as u64,
            deflated: Some(packed.len() as u64),
            checksum: crc32fast::hash(text),
        };
        let head = parcel.add_at("css/a.css", bytes).unwrap();
        assert_eq!((head[8], head[18], head[22]), (8, packed.len() as u8, text.len() as u8));
        for path in ["/a", "a//b", "../a", "a/", "a/../b"] {
            assert!(
                matches!(parcel.add_at(path, bytes), Err(ParcelError::Name(_))),
                "{path}"
            );
        }
    }

    #[test]
    fn a_parcel_over_4_gb_is_refused_and_stays_as_it_was() {
        let mut parcel = Parcel::new(Moment::EARLIEST);
        parcel.add("a", u64::from(u32::MAX) - 200, 0).unwrap();
        let before = parcel.clone();
        assert_eq!(parcel.add("b", 100, 0), Err(ParcelError::TooLarge));
        assert_eq!(parcel, before);
    }
}
