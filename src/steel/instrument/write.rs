//! Instruments as files: what [`parse`](super::parse) reads back as the same instrument.

use super::{Change, Half, Instrument, Pull, StringSpec};
use crate::steel::units::Travel;
use std::fmt::Write;

impl Instrument {
    /// The instrument as a file. What players have in different ways is written as it is on this one, and the body's
    /// give, which no file has, is left out.
    ///
    /// ```
    /// use leadbar::steel::{Instrument, instrument::parse};
    /// let mut e9 = Instrument::shipped("e9").unwrap();
    /// e9.choices.clear();
    /// assert_eq!(parse(&e9.text()).unwrap(), e9);
    /// ```
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = String::new();
        // Writing to a text never fails.
        let _ = self.write(&mut text);
        text
    }

    fn write(&self, out: &mut String) -> std::fmt::Result {
        writeln!(out, "form = {}", super::read::FORM)?;
        writeln!(out, "id = {}", quoted(&self.id))?;
        writeln!(out, "name = {}", quoted(&self.name))?;
        writeln!(out, "scale-length-mm = {}", self.scale_length.0)?;
        writeln!(out, "frets = {}", self.frets)?;
        let (nut, bridge) = (self.spacing.nut.0, self.spacing.bridge.0);
        writeln!(out, "string-spacing-mm = {{ nut = {nut}, bridge = {bridge} }}")?;
        for string in &self.strings {
            string.write(out)?;
        }
        for change in &self.changes {
            change.write(out)?;
        }
        Ok(())
    }
}

impl StringSpec {
    fn write(&self, out: &mut String) -> std::fmt::Result {
        writeln!(
            out,
            "\n[[strings]]\npitch = \"{}\"\ngauge = {}",
            self.pitch, self.gauge.0
        )?;
        if self.wound {
            writeln!(out, "wound = true")?;
        }
        if self.offset.0 != 0.0 {
            writeln!(out, "offset-cents = {}", self.offset.0)?;
        }
        Ok(())
    }
}

impl Change {
    fn write(&self, out: &mut String) -> std::fmt::Result {
        writeln!(
            out,
            "\n[[changes]]\nname = {}\ncontrol = \"{}\"",
            quoted(&self.name),
            self.control
        )?;
        let moves: Vec<String> = self.pulls.iter().map(pull).collect();
        writeln!(out, "moves = {{ {} }}", moves.join(", "))?;
        match self.half {
            Some(Half::Stop(at)) => writeln!(out, "half-stop = {}", at.0),
            Some(Half::ByEar(at)) => writeln!(out, "half-by-ear = {}", at.0),
            None => Ok(()),
        }
    }
}

fn pull(pull: &Pull) -> String {
    let (string, by) = (pull.string, pull.by.0 / 100.0);
    if (pull.from, pull.to) == (Travel::UP, Travel::DOWN) {
        format!("{string} = {by}")
    } else {
        format!("{string} = {{ by = {by}, from = {}, to = {} }}", pull.from.0, pull.to.0)
    }
}

/// A basic string of TOML 1.0.0: quotes, backslashes and control characters escaped.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => out.extend(['\\', letter]),
            letter if letter.is_control() => {
                // Writing to a text never fails.
                let _ = write!(out, "\\u{:04X}", u32::from(letter));
            }
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::super::{parse, shipped};
    use super::*;
    use crate::theory::Cents;

    #[test]
    fn every_shipped_instrument_is_read_back_as_it_was() {
        for id in shipped::ids() {
            let mut instrument = Instrument::shipped(id).unwrap();
            instrument.choices.clear();
            assert_eq!(parse(&instrument.text()).unwrap(), instrument, "{id}");
        }
    }

    #[test]
    fn any_name_and_any_figure_survive() {
        let mut e9 = Instrument::shipped("e9").unwrap();
        e9.choices.clear();
        e9.name = "My \"old\" one \\ wound\tby hand\u{7f} ñ 日".to_owned();
        e9.strings[2].offset = Cents(-13.7);
        e9.changes[0].pulls[0].by = Cents(186.0);
        e9.changes[6].half = Some(Half::ByEar(Travel(0.45)));
        assert_eq!(parse(&e9.text()).unwrap(), e9);
    }
}
