//! The instrument as players write it down: strings down, changes across, what each does to each string.

use crate::steel::{ChangeId, Instrument, StringNumber};
use crate::theory::{Accidental, Letter, NoteName, Semitones};

/// One column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Which change.
    pub id: ChangeId,
    /// What players call it.
    pub name: String,
    /// What works it, in the trade's short form.
    pub control: String,
}

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The string.
    pub string: StringNumber,
    /// Its open note without the octave.
    pub note: String,
    /// What each change makes of it, in the order of the columns; empty where it leaves it alone.
    pub cells: Vec<Cell>,
}

/// What one change does to one string.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    /// How far in half steps, with a sign: `+2`, `-1`. Empty where nothing happens.
    pub by: String,
    /// The note it becomes.
    pub note: String,
}

/// The whole table.
#[derive(Debug, Clone, PartialEq)]
pub struct Copedent {
    /// The changes, pedals first, as the body meets them from the left.
    pub columns: Vec<Column>,
    /// The strings from 1 down.
    pub rows: Vec<Row>,
}

impl Copedent {
    /// The table of an instrument.
    #[must_use]
    pub fn of(instrument: &Instrument) -> Self {
        let mut changes: Vec<_> = instrument.change_ids().zip(&instrument.changes).collect();
        changes.sort_by_key(|(_, change)| change.control);
        let row = |string: StringNumber| {
            let spec = instrument.strings.get(string.index())?;
            let open = spec.pitch.name;
            let cell = |change: &crate::steel::Change| {
                let pulls = change.pulls.iter().filter(|p| p.string == string);
                let furthest = pulls.max_by(|a, b| a.by.0.abs().total_cmp(&b.by.0.abs()));
                furthest.map_or_else(Cell::default, |pull| {
                    let steps = (pull.by.0 / 100.0).round();
                    Cell {
                        by: format!("{steps:+}"),
                        note: spelled(instrument, open, steps),
                    }
                })
            };
            Some(Row {
                string,
                note: open.to_string(),
                cells: changes.iter().map(|(_, change)| cell(change)).collect(),
            })
        };
        Self {
            rows: instrument.string_numbers().filter_map(row).collect(),
            columns: changes
                .iter()
                .map(|(id, change)| Column {
                    id: *id,
                    name: change.name.clone(),
                    control: change.control.to_string(),
                })
                .collect(),
        }
    }
}

/// Where a name lies on the line of fifths: F -1, C 0, G 1 ... F# 6.
fn fifths(name: NoteName) -> i16 {
    let step = name.letter.index();
    let natural = if step < Letter::F.index() {
        2 * step
    } else {
        2 * step - 7
    };
    natural + 7 * i16::from(name.accidental.0)
}

/// Where an instrument's open strings lie on the line of fifths, all together: their sum and their count.
fn leaning(instrument: &Instrument) -> (i16, i16) {
    let places = instrument.strings.iter().map(|s| fifths(s.pitch.name));
    places.fold((0, 0), |(sum, count), place| (sum + place, count + 1))
}

/// The note `steps` half steps from `open`: natural where it can be, else the sharp or the flat that lies nearer to
/// the open strings on the line of fifths, so that E9 reads D# and C6 reads Eb.
#[allow(clippy::cast_possible_truncation)]
#[must_use]
pub fn spelled(instrument: &Instrument, open: NoteName, steps: f64) -> String {
    let (sum, count) = leaning(instrument);
    let class = open.class().plus(Semitones(steps as i16));
    let distance = |name: &NoteName| {
        let natural = name.accidental == Accidental::NATURAL;
        (!natural, (count * fifths(*name) - sum).abs())
    };
    NoteName::all_within(1)
        .filter(|name| name.class() == class)
        .min_by_key(distance)
        .map_or_else(String::new, |name| name.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: Wikipedia, "Copedent", the E9 chart.
    #[test]
    fn the_common_e9_reads_as_players_write_it() {
        let e9 = Instrument::shipped("e9").unwrap();
        let table = Copedent::of(&e9);
        let column = |name: &str| table.columns.iter().position(|c| c.name == name).unwrap();
        let cell = |string: usize, name: &str| {
            let cell = &table.rows[string - 1].cells[column(name)];
            (cell.by.as_str(), cell.note.as_str())
        };
        assert_eq!(table.rows.len(), 10);
        assert_eq!(cell(5, "A"), ("+2", "C#"));
        assert_eq!(cell(3, "B"), ("+1", "A"));
        assert_eq!(cell(4, "C"), ("+2", "F#"));
        assert_eq!(cell(1, "A"), ("", ""));
        assert_eq!(cell(4, "F"), ("+1", "F"));
        assert_eq!(cell(4, "E"), ("-1", "D#"));
        assert_eq!(
            table
                .columns
                .iter()
                .take(3)
                .map(|c| c.control.as_str())
                .collect::<Vec<_>>(),
            ["P1", "P2", "P3"]
        );
    }

    /// Common practice, no source.
    #[test]
    fn a_flat_tuning_names_its_changes_with_flats() {
        let c6 = Instrument::shipped("c6").unwrap();
        let table = Copedent::of(&c6);
        let black = |sign: char| {
            let cells = table.rows.iter().flat_map(|row| &row.cells);
            cells
                .map(|c| c.note.clone())
                .filter(|n| n.contains(sign))
                .collect::<std::collections::BTreeSet<_>>()
        };
        assert!(black('b').contains("Eb"), "{:?}", black('b'));
        assert!(black('#').contains("F#"), "{:?}", black('#'));
        assert!(!black('#').contains("D#") && !black('#').contains("A#"));
    }
}
