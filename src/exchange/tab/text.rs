//! Tablature as plain text.

use super::Tab;
use super::layout::{Characters, System};
use crate::words::Words;

impl Tab {
    /// Plain text no wider than `width` (a single column is never split), ended by a line that explains
    /// the signs in use, in English.
    #[must_use]
    pub fn text(&self, width: Characters) -> String {
        self.text_for(width, &Words::ENGLISH)
    }

    /// The same with the signs explained in a reader's words. All else stays as it is read back.
    #[must_use]
    pub fn text_for(&self, width: Characters, words: &Words) -> String {
        let names = self.rows.iter().map(|r| r.name.chars().count()).max().unwrap_or(0);
        let margin = margin(names);
        let systems = self.systems(Characters(width.0.saturating_sub(margin)));
        let mut blocks: Vec<String> = systems.iter().map(|s| self.system_text(s, names)).collect();
        if !self.legend.is_empty() {
            blocks.push(self.legend_text(width, words));
        }
        blocks.join("\n")
    }

    fn system_text(&self, system: &System, names: usize) -> String {
        let first = system
            .pieces
            .first()
            .and_then(|p| self.bars.get(p.bar))
            .map_or(0, |b| b.number);
        let mut lines = vec![
            self.chord_line(system, first, margin(names)),
            self.count_line(system, margin(names)),
        ];
        for (index, row) in self.rows.iter().enumerate() {
            let mut line = format!(
                "{:>2} {:<width$} |",
                row.string.number(),
                row.name,
                width = margin(names) - 5
            );
            for piece in &system.pieces {
                let Some(bar) = self.bars.get(piece.bar) else { continue };
                line.push('-');
                for column in piece.columns.clone() {
                    let marks = bar.columns.get(column).and_then(|c| c.cells.get(index));
                    let cell: String = marks.into_iter().flatten().map(super::Mark::text).collect();
                    let room = bar.room(column).0;
                    line.push_str(&cell);
                    line.push_str(&"-".repeat(room.saturating_sub(cell.chars().count())));
                }
                line.push(if piece.closes { '|' } else { '-' });
            }
            lines.push(line);
        }
        lines.join("\n") + "\n"
    }

    fn chord_line(&self, system: &System, first: usize, margin: usize) -> String {
        let mut line = format!("bar {first}");
        let mut place = margin;
        for piece in &system.pieces {
            let Some(bar) = self.bars.get(piece.bar) else { continue };
            place += 1;
            for column in piece.columns.clone() {
                if let Some(label) = bar.columns.get(column).and_then(|c| c.chord.as_deref()) {
                    let gap = place.saturating_sub(line.chars().count());
                    line.push_str(&" ".repeat(gap));
                    line.push_str(label);
                }
                place += bar.room(column).0;
            }
            place += 1;
        }
        line
    }

    /// The count above the columns.
    fn count_line(&self, system: &System, margin: usize) -> String {
        let mut line = "count".to_owned();
        let mut place = margin;
        for piece in &system.pieces {
            let Some(bar) = self.bars.get(piece.bar) else { continue };
            place += 1;
            for column in piece.columns.clone() {
                if let Some(label) = bar.counts.get(column).and_then(Option::as_ref) {
                    line.push_str(&" ".repeat(place.saturating_sub(line.chars().count())));
                    line.push_str(label);
                }
                place += bar.room(column).0;
            }
            place += 1;
        }
        line
    }

    fn legend_text(&self, width: Characters, words: &Words) -> String {
        let mut lines = vec![String::new()];
        for (index, entry) in self.legend.iter().enumerate() {
            let end = if index + 1 < self.legend.len() { ";" } else { "" };
            let told = format!("{}  {}{end}", entry.sign, words.tell(&entry.meaning));
            let used = lines.last().map_or(0, |l| l.chars().count());
            if used > 0 && used + 2 + told.chars().count() > width.0 {
                lines.push(told);
            } else if let Some(last) = lines.last_mut() {
                if used > 0 {
                    last.push_str("  ");
                }
                last.push_str(&told);
            }
        }
        lines.join("\n") + "\n"
    }
}

/// The characters before a string's first column, "10 F# |", with room for the word that stands before the count.
fn margin(names: usize) -> usize {
    (names + 5).max("count ".len())
}
