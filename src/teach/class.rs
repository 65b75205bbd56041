//! A teacher's class: what students handed in, marked anew, as a table.
//!
//! *Invariant:* one bad file never stops the others: it is named, with what is wrong, and the rest is marked.

use super::assignment::{GRADER, Handed, Score};
use super::evidence::{EvidenceError, Tally};
use super::exercise::Mark;
use crate::exchange::link::{self, LinkError};
use crate::theory::rank;
use crate::words::Said;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use thiserror::Error;

/// The largest file that is looked into, in bytes; what students hand in is a few thousand.
pub const MOST_FILE: u64 = 1 << 20;

/// What one student handed in, marked.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The file it came in, or what was pasted.
    pub file: String,
    /// What was handed in.
    pub handed: Handed,
    /// The marks, computed here; nothing where no answer was given.
    pub marks: Vec<Option<Mark>>,
    /// What was played of each answer, marked here; nothing where nothing was.
    pub played: Vec<Option<Result<Tally, EvidenceError>>>,
    /// The score, computed here.
    pub score: Score,
    /// What the teacher should know.
    pub remarks: Vec<Remark>,
}

impl Sheet {
    /// What was played of each exercise, in words.
    #[must_use]
    pub fn heard(&self) -> Vec<Said> {
        let words = |(index, played): (usize, &Option<Result<Tally, EvidenceError>>)| {
            let number = index + 1;
            Some(match played.as_ref()? {
                Ok(tally) => said!("Exercise {number}, played: {how}.", number, how = tally.words()),
                Err(error) => said!("Exercise {number}, played: {how}.", number, how = error.said()),
            })
        };
        self.played.iter().enumerate().filter_map(words).collect()
    }
}

/// Something a teacher should know of what was handed in.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum Remark {
    /// The score written in it is not the one computed.
    Claim {
        /// What it says.
        claim: Score,
        /// What is computed.
        score: Score,
    },
    /// It was marked by another version.
    Version(u16),
    /// It is of other work than most.
    OtherWork(String),
    /// Somebody of that name handed in before.
    Again(String),
    /// Exercises are left out.
    Open(usize),
}

impl Remark {
    /// What it is, as a sentence.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::Claim { claim, score } => said!(
                "It says {claim}, and its answers earn {score}: the score in it was changed.",
                claim,
                score
            ),
            Self::Version(version) => said!(
                "It was marked by version {version} of the marking, this page has version {own}: the student may have seen another score.",
                version,
                own = GRADER
            ),
            Self::OtherWork(id) => said!("It answers other work than the rest ({id}).", id),
            Self::Again(name) => said!("{name} handed in more than once: the best counts.", name),
            Self::Open(exercises) => {
                said!(*exercises => "{n} of the exercises has no answer.", "{n} of the exercises have no answer.")
            }
        }
    }
}

/// Why something that was handed in cannot be marked.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{}", self.said().english())]
pub enum Refusal {
    /// It is far too large.
    TooLarge {
        /// Its size, rounded down.
        megabytes: u64,
    },
    /// It is no text.
    NoText,
    /// There is no link in it.
    Nothing,
    /// The link in it cannot be read.
    Link(#[from] LinkError),
}

impl Refusal {
    /// What was wrong, and what to do.
    #[must_use]
    pub fn said(&self) -> Said {
        match self {
            Self::TooLarge { megabytes } => said!(
                "it is {megabytes} MB; what students hand in is a few thousand characters, so it was not opened",
                megabytes
            ),
            Self::NoText => said!("it is no text: ask for the link, or for the file that this page writes"),
            Self::Nothing => said!(
                "there is nothing in it that was handed in here: ask for the link, or for the file that this page writes"
            ),
            Self::Link(error) => error.said(),
        }
    }
}

/// One file that could not be marked, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// The file.
    pub file: String,
    /// Why.
    pub why: Refusal,
}

/// Everything that was taken in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Class {
    /// Sheets by name, the best of each student first.
    pub sheets: Vec<Sheet>,
    /// What could not be marked.
    pub refused: Vec<Refused>,
}

/// The links in a text: words that are links, or addresses that end in one.
fn links_in(text: &str) -> impl Iterator<Item = &str> {
    let ends = text
        .split_whitespace()
        .map(|word| word.rsplit_once('#').map_or(word, |(_, end)| end));
    ends.filter(|end| link::is_link(end))
}

impl Class {
    /// Takes in a file by its bytes. A file may hold several links; each is taken by itself.
    pub fn take(&mut self, file: &str, bytes: &[u8]) {
        let size = bytes.len() as u64;
        if size > MOST_FILE {
            self.refuse_size(file, size);
            return;
        }
        match std::str::from_utf8(bytes) {
            Ok(text) => self.take_text(file, text),
            Err(_) => self.refuse(file, Refusal::NoText),
        }
    }

    /// Refuses a file by its size alone, so that it need not be read.
    pub fn refuse_size(&mut self, file: &str, bytes: u64) {
        let megabytes = bytes / (1 << 20);
        self.refuse(file, Refusal::TooLarge { megabytes });
    }

    fn refuse(&mut self, file: &str, why: Refusal) {
        let file = file.to_owned();
        self.refused.push(Refused { file, why });
    }

    fn take_text(&mut self, file: &str, text: &str) {
        let links: Vec<&str> = links_in(text).collect();
        if links.is_empty() {
            self.refuse(file, Refusal::Nothing);
        }
        for link in links {
            match link::read::<Handed>(link) {
                Ok(handed) => self.sheets.push(sheet(file, handed)),
                Err(error) => self.refuse(file, error.into()),
            }
        }
        self.settle();
    }

    /// Orders the sheets and says what is only seen among them.
    fn settle(&mut self) {
        self.sheets.sort_by(|a, b| {
            let names = key(&a.handed.name).cmp(&key(&b.handed.name));
            names.then(b.score.cmp(&a.score))
        });
        // The same answers by link and by file count once.
        self.sheets.dedup_by(|a, b| a.handed == b.handed);
        let mut works: BTreeMap<String, usize> = BTreeMap::new();
        for sheet in &self.sheets {
            *works.entry(sheet.handed.work.id()).or_default() += 1;
        }
        let usual = works.into_iter().max_by_key(|(_, n)| *n).map(|(id, _)| id);
        let mut last: Option<String> = None;
        for sheet in &mut self.sheets {
            sheet
                .remarks
                .retain(|r| !matches!(r, Remark::OtherWork(_) | Remark::Again(_)));
            if Some(sheet.handed.work.id()) != usual {
                sheet.remarks.push(Remark::OtherWork(sheet.handed.work.title.clone()));
            }
            let name = key(&sheet.handed.name);
            if last.as_ref() == Some(&name) {
                sheet.remarks.push(Remark::Again(sheet.handed.name.clone()));
            }
            last = Some(name);
        }
    }

    /// The criteria the class loses most points in, the worst first: name, part of the points that is lost, 0..=1.
    #[must_use]
    pub fn missed(&self) -> Vec<(Said, f64)> {
        let mut sums: BTreeMap<String, (&Said, u32, u32)> = BTreeMap::new();
        for criterion in self
            .sheets
            .iter()
            .flat_map(|s| s.marks.iter().flatten())
            .flat_map(|m| &m.criteria)
        {
            let name = &criterion.name;
            let (_, lost, of) = sums.entry(name.english()).or_insert((name, 0, 0));
            *lost += u32::from(criterion.of.0 - criterion.points.0.min(criterion.of.0));
            *of += u32::from(criterion.of.0);
        }
        let part = |(name, lost, of): (&Said, u32, u32)| (name.clone(), f64::from(lost) / f64::from(of.max(1)));
        let mut missed: Vec<(Said, f64)> = sums.into_values().map(part).collect();
        missed.retain(|(_, part)| *part > 0.0);
        missed.sort_by_cached_key(|one| !rank(one.1));
        missed
    }

    /// The table as comma-separated values (RFC 4180). No cell begins with a sign that a spreadsheet would compute
    /// with (OWASP, "CSV Injection"): such a cell gets an apostrophe before it.
    #[must_use]
    pub fn csv(&self) -> String {
        let most = self.sheets.iter().map(|s| s.handed.work.items.len()).max().unwrap_or(0);
        let mut head = vec!["name".to_owned(), "work".to_owned(), "score".to_owned()];
        head.extend((1..=most).map(|i| format!("exercise {i}")));
        head.extend(["remarks".to_owned(), "file".to_owned()]);
        let mut csv = line(&head);
        for sheet in &self.sheets {
            let mut cells = vec![
                sheet.handed.name.clone(),
                sheet.handed.work.title.clone(),
                sheet.score.0.to_string(),
            ];
            cells.extend((0..most).map(|i| match sheet.marks.get(i).and_then(Option::as_ref) {
                Some(mark) => format!("{}", Score::of_part(sheet.handed.work.weighed(mark)).0),
                None => String::new(),
            }));
            let told = sheet.remarks.iter().map(Remark::said).chain(sheet.heard());
            let remarks: Vec<String> = told.map(|said| said.english()).collect();
            cells.extend([remarks.join(" "), sheet.file.clone()]);
            csv.push_str(&line(&cells));
        }
        csv
    }
}

/// A name as names are compared: neither capitals nor spaces make another student.
fn key(name: &str) -> String {
    let words: Vec<String> = name.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}

fn sheet(file: &str, handed: Handed) -> Sheet {
    let marks = handed.marks();
    let score = handed.work.score(&marks);
    let mut remarks = Vec::new();
    if handed.grader != GRADER {
        remarks.push(Remark::Version(handed.grader));
    } else if handed.claim != score {
        let claim = handed.claim;
        remarks.push(Remark::Claim { claim, score });
    }
    let open = marks.iter().filter(|m| m.is_none()).count();
    if open > 0 {
        remarks.push(Remark::Open(open));
    }
    Sheet {
        file: file.to_owned(),
        played: handed.played(),
        handed,
        marks,
        score,
        remarks,
    }
}

fn line(cells: &[String]) -> String {
    let mut line = String::new();
    for (i, cell) in cells.iter().enumerate() {
        let comma = if i == 0 { "" } else { "," };
        let _ = write!(line, "{comma}{}", safe(cell));
    }
    line + "\r\n"
}

fn safe(cell: &str) -> String {
    let computes = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
    let cell = if computes { format!("'{cell}") } else { cell.to_owned() };
    if cell.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell
    }
}
