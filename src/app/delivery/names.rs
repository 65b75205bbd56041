//! What delivered files are called: song, part, take, key and tempo, in characters that every system takes.

use crate::app::Chosen;
use crate::sound::render::Stem;
use crate::theory::{Key, Tempo};

/// Longest part of a name that comes from the song's own.
const LONGEST: usize = 40;

/// What all names of a delivery have in common.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Names {
    song: String,
    take: String,
    key: String,
    tempo: String,
}

impl Names {
    pub(super) fn new(title: Option<&str>, take: Chosen, key: Key, tempo: Tempo) -> Self {
        let song = plain(title.unwrap_or_default());
        Self {
            song: if song.is_empty() { "song".to_owned() } else { song },
            take: take_name(take),
            key: key.to_string().replace('#', "sharp").replace('b', "flat"),
            tempo: format!("{}bpm", tempo.0.round()),
        }
    }

    /// The file of a stem.
    pub(super) fn stem(&self, stem: Stem) -> String {
        self.file(part(stem), "wav")
    }

    /// The file of what was played by hand: a take, counted from 1, or what was put together of them.
    pub(super) fn played(&self, take: Option<usize>) -> String {
        let part = take.map_or("steel-played-comp".to_owned(), |n| format!("steel-played-{n}"));
        self.file(&part, "wav")
    }

    /// The text sheet.
    pub(super) fn sheet(&self) -> String {
        self.file("notes", "txt")
    }

    /// The parcel that holds all of them.
    pub(super) fn parcel(&self) -> String {
        self.file("stems", "zip")
    }

    fn file(&self, part: &str, ending: &str) -> String {
        let Self { song, take, key, tempo } = self;
        format!("{song}_{part}_{take}_{key}_{tempo}.{ending}")
    }
}

/// The part of a stem in a name.
fn part(stem: Stem) -> &'static str {
    match stem {
        Stem::DirectClean => "steel-direct-clean",
        Stem::AmpClean => "steel-amp-clean",
        Stem::DirectDriven => "steel-direct-driven",
        Stem::AmpDriven => "steel-amp-driven",
        Stem::Backing => "backing",
        Stem::Mix => "mix",
    }
}

/// The take, counted from 1 as the page counts them.
fn take_name(take: Chosen) -> String {
    match take {
        Chosen::Drafted(index) => format!("take{}", index + 1),
        Chosen::Kept(index) => format!("kept{}", index + 1),
    }
}

/// A name in small letters, figures and dashes: accents dropped, anything else a dash.
fn plain(name: &str) -> String {
    let mut out = String::new();
    for letter in name.chars().flat_map(char::to_lowercase) {
        match bare(letter) {
            Some(bare) => out.push_str(bare),
            None if letter.is_ascii_alphanumeric() => out.push(letter),
            None if matches!(letter, '\'' | '\u{2019}') => {}
            None if !out.is_empty() && !out.ends_with('-') => out.push('-'),
            None => {}
        }
        if out.len() >= LONGEST {
            break;
        }
    }
    out.trim_end_matches('-').to_owned()
}

/// A letter of the Latin alphabets without its accent, where it has one.
fn bare(letter: char) -> Option<&'static str> {
    Some(match letter {
        'à'..='å' | 'ā' | 'ă' | 'ą' => "a",
        'æ' => "ae",
        'ç' | 'ć' | 'č' => "c",
        'ď' | 'đ' | 'ð' => "d",
        'è'..='ë' | 'ē' | 'ė' | 'ę' | 'ě' => "e",
        'ğ' => "g",
        'ì'..='ï' | 'ī' | 'į' | 'ı' => "i",
        'ł' | 'ľ' => "l",
        'ñ' | 'ń' | 'ň' => "n",
        'ò'..='ö' | 'ø' | 'ō' | 'ő' => "o",
        'œ' => "oe",
        'ř' => "r",
        'ś' | 'š' | 'ş' => "s",
        'ß' => "ss",
        'ť' | 'ţ' => "t",
        'þ' => "th",
        'ù'..='ü' | 'ū' | 'ů' | 'ű' => "u",
        'ý' | 'ÿ' => "y",
        'ź' | 'ż' | 'ž' => "z",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(title: &str, key: &str) -> Names {
        Names::new(Some(title), Chosen::Drafted(1), key.parse().unwrap(), Tempo(91.6))
    }

    #[test]
    fn a_name_says_song_part_take_key_and_tempo() {
        let names = names("Lamp on the Sill", "Bb");
        assert_eq!(
            names.stem(Stem::DirectDriven),
            "lamp-on-the-sill_steel-direct-driven_take2_Bflat_92bpm.wav"
        );
        assert_eq!(names.parcel(), "lamp-on-the-sill_stems_take2_Bflat_92bpm.zip");
    }

    #[test]
    fn any_title_and_key_make_plain_names_that_differ() {
        for (title, start) in [
            ("Müller’s Straße, 3.", "mullers-strasse-3_"),
            ("../../etc", "etc_"),
            ("日本", "song_"),
            ("", "song_"),
            ("---", "song_"),
            (&"long ".repeat(50), "long-long-long-long-long-long-long-long_"),
        ] {
            let names = names(title, "F#m");
            let mut all: Vec<String> = Stem::ALL.iter().map(|stem| names.stem(*stem)).collect();
            all.extend([names.sheet(), names.parcel()]);
            for name in &all {
                assert!(name.starts_with(start), "{name}");
                assert!(name.contains("_Fsharpm_") && name.len() < 100, "{name}");
                let plain = |c: char| c.is_ascii_alphanumeric() || "._-".contains(c);
                assert!(name.chars().all(plain), "{name}");
            }
            all.sort();
            all.dedup();
            assert_eq!(all.len(), 8);
        }
    }
}
