//! A thousand tasks with right answers and a thousand with wrong ones of each kind that is not a phrase: no right one
//! is refused, no wrong one passes. What is right is reckoned here, from semitones and by trying every place.

use crate::teach_support::*;
use leadbar::solo::stroke::Grip;
use leadbar::steel::{Place, Stance, StringNumber};
use leadbar::teach::exercise::{Answer, Input, Kind, Shown, Task};
use leadbar::theory::{Beats, Cents, NoteName, Tempo};

/// The ways players write a minor chord, in letters.
const MINOR: [&str; 4] = ["m", "-", "min", "mi"];

#[test]
fn chords_are_named_in_any_spelling_of_their_kind_and_no_other_chord_passes() {
    thousand(Kind::NameChord, |task, rng, tally| {
        let asked = task.question().english();
        let text = asked.trim_end_matches('?').rsplit(' ').next().unwrap().to_owned();
        let key = task.setting.key;
        let (_, _, suffix) = number(&text);
        let ends = if suffix == "-" {
            MINOR.to_vec()
        } else {
            vec![suffix.as_str()]
        };
        tally.right(
            task,
            &Answer::Chord(format!(" {}{} ", root_name(&text, key), one(rng, &ends))),
        );
        // Another root by one to eleven semitones, or the same root as another kind.
        let wrong = if rng.bool() {
            let names: Vec<NoteName> = NoteName::all_within(1)
                .filter(|n| i32::from(n.class().number()) != root_class(&text, key))
                .collect();
            format!("{}{}", one(rng, &names), if suffix == "-" { "m" } else { &suffix })
        } else {
            let others: Vec<&str> = ["", "m", "7", "maj7", "dim"]
                .into_iter()
                .filter(|o| *o != suffix && !(*o == "m" && suffix == "-"))
                .collect();
            format!("{}{}", root_name(&text, key), one(rng, &others))
        };
        tally.wrong(task, &Answer::Chord(wrong));
    });
}

#[test]
fn numbers_are_named_in_any_spelling_of_their_kind_and_no_other_number_passes() {
    thousand(Kind::NameNumber, |task, rng, tally| {
        // The chart of the setting holds the number; what is asked is its chord in letters.
        let text = task.setting.chart.rsplit(' ').next().unwrap().to_owned();
        let (degree, alteration, suffix) = number(&text);
        let ends = if suffix == "-" {
            MINOR.to_vec()
        } else {
            vec![suffix.as_str()]
        };
        let sign = if alteration < 0 { "b" } else { "" };
        tally.right(task, &Answer::Number(format!("{sign}{degree}{}", one(rng, &ends))));
        let other = rng.i32(1..7);
        let wrong = if rng.bool() {
            format!("{sign}{}{suffix}", (degree - 1 + other) % 7 + 1)
        } else {
            format!("{sign}{degree}{}", if suffix == "-" { "" } else { "-" })
        };
        tally.wrong(task, &Answer::Number(wrong));
    });
}

#[test]
fn only_the_bar_that_was_written_out_wrong_is_right() {
    thousand(Kind::SpotWrong, |task, _, tally| {
        let Shown::Letters(letters) = task.shown() else {
            panic!("letters")
        };
        let bars = task.setting.chart.split_once("; ").unwrap().1;
        let wrong = bars.split(' ').zip(&letters).position(|(bar, letter)| {
            let heard: Vec<i32> = letter.tones().map(|(_, n)| i32::from(n.class().number())).collect();
            classes(bar, task.setting.key) != heard
        });
        let wrong = wrong.unwrap() as u16 + 1;
        for bar in 0..=letters.len() as u16 + 1 {
            if bar == wrong {
                tally.right(task, &Answer::Bar(bar))
            } else {
                tally.wrong(task, &Answer::Bar(bar))
            }
        }
    });
}

/// The number of the setting's bar `index`.
fn bar(task: &Task, index: usize) -> String {
    let bars = task.setting.chart.split_once("; ").unwrap().1;
    bars.split(' ').nth(index).unwrap().to_owned()
}

#[test]
fn every_place_that_sounds_the_chord_is_right_and_no_other() {
    thousand(Kind::FindChord, |task, rng, tally| {
        let chord = classes(&bar(task, 0), task.setting.key);
        let (right, wrong) = &*sorted_places(&task.setting.instrument, &chord);
        tally.right(task, &Answer::Places(vec![one(rng, right)]));
        tally.wrong(task, &Answer::Places(vec![one(rng, wrong)]));
    });
}

#[test]
fn any_three_inversions_that_rise_are_right_and_no_others() {
    thousand(Kind::Inversions, |task, rng, tally| {
        let instrument = &task.setting.instrument;
        let chord = classes(&bar(task, 0), task.setting.key);
        let (right, wrong) = &*sorted_places(instrument, &chord);
        let by_lowest: Vec<Vec<Grip>> = chord
            .iter()
            .map(|c| {
                right
                    .iter()
                    .filter(|g| notes(instrument, **g)[0].rem_euclid(12) == *c)
                    .copied()
                    .collect()
            })
            .collect();
        let mut three: Vec<Grip> = by_lowest.iter().map(|g| one(rng, g)).collect();
        three.sort_by_key(|g| top(instrument, *g));
        if three.windows(2).any(|w| top(instrument, w[0]) == top(instrument, w[1])) {
            return;
        }
        tally.right(task, &Answer::Places(three.clone()));
        let mut spoilt = three;
        match rng.u8(0..3) {
            0 => spoilt[rng.usize(0..3)] = one(rng, wrong),
            1 => spoilt.swap(0, 2),
            _ => spoilt[1] = spoilt[0],
        }
        tally.wrong(task, &Answer::Places(spoilt));
    });
}

#[test]
fn every_chord_within_a_whole_tone_of_each_voice_is_right_and_no_other() {
    thousand(Kind::VoiceLead, |task, rng, tally| {
        let Shown::Hold(held, _) = task.shown() else {
            panic!("a hold")
        };
        let number_to = bar(task, 1);
        let chord = classes(&number_to, task.setting.key);
        if chord.len() > 3 {
            return; // what makes a seventh chord is a matter of habit, and asked elsewhere
        }
        let instrument = &task.setting.instrument;
        let (right, wrong) = &*sorted_places(instrument, &chord);
        let from = notes(instrument, held);
        let near = |g: &&Grip| {
            notes(instrument, **g)
                .iter()
                .zip(&from)
                .all(|(a, b)| (a - b).abs() <= 2)
        };
        let good: Vec<Grip> = right.iter().filter(near).copied().collect();
        if good.is_empty() {
            return; // a half pedal leads there, and those are not tried here
        }
        tally.right(task, &Answer::Places(vec![one(rng, &good)]));
        let far: Vec<Grip> = right.iter().filter(|g| !near(g)).copied().collect();
        let from = if rng.bool() { &far } else { wrong };
        tally.wrong(task, &Answer::Places(vec![one(rng, from)]));
    });
}

#[test]
fn any_string_that_sings_the_melody_is_right_and_one_note_off_is_wrong() {
    thousand(Kind::PutPedals, |task, rng, tally| {
        let Shown::Melody(pitches, fret) = task.shown() else {
            panic!("a melody")
        };
        let instrument = &task.setting.instrument;
        let fret = fret.0 as u8;
        let mut singles = Vec::new();
        for stance in stances(instrument)
            .into_iter()
            .filter(|s| leadbar::steel::body::can_hold(instrument, *s).is_ok())
        {
            for string in instrument.string_numbers() {
                let strings = [string].into_iter().collect();
                let place = Place::straight(fret, stance);
                singles.push((note(instrument, string, place), Grip { place, strings }));
            }
        }
        let mut line: Vec<Grip> = pitches
            .iter()
            .map(|p| {
                let wanted = i32::from(p.number().unwrap().0);
                let ways: Vec<Grip> = singles.iter().filter(|(n, _)| *n == wanted).map(|(_, g)| *g).collect();
                one(rng, &ways)
            })
            .collect();
        tally.right(task, &Answer::Places(line.clone()));
        let index = rng.usize(0..line.len());
        let wanted = i32::from(pitches[index].number().unwrap().0);
        let others: Vec<Grip> = singles.iter().filter(|(n, _)| *n != wanted).map(|(_, g)| *g).collect();
        line[index] = one(rng, &others);
        tally.wrong(task, &Answer::Places(line));
    });
}

#[test]
fn every_change_that_moves_the_ringing_strings_alike_is_right_and_no_other() {
    thousand(Kind::HearChange, |task, _, tally| {
        let Input::Changes(offered) = task.input() else {
            panic!("changes")
        };
        let heard = task.heard().unwrap();
        let instrument = &task.setting.instrument;
        let ringing: Vec<_> = heard.performance.plucks.iter().map(|p| p.string).collect();
        let bar = heard.performance.bar_at(Beats(0.0)).0 as u8;
        let sounds = |at: f64| -> Vec<i32> {
            let height = |s| {
                heard
                    .performance
                    .height(instrument, s, Beats(at), Tempo(84.0))
                    .unwrap()
                    .0
                    .round() as i32
            };
            ringing.iter().map(|s| height(*s)).collect()
        };
        assert_ne!(sounds(0.5), sounds(4.0), "something is heard to move");
        for name in offered {
            let stance = Stance::OPEN.with(instrument.change_named(&name).unwrap());
            let made: Vec<i32> = ringing
                .iter()
                .map(|s| note(instrument, *s, Place::straight(bar, stance)))
                .collect();
            if made == sounds(4.0) {
                tally.right(task, &Answer::Change(name));
            } else {
                tally.wrong(task, &Answer::Change(name));
            }
        }
    });
}

#[test]
fn the_number_that_is_heard_is_right_however_it_is_written() {
    thousand(Kind::HearNumber, |task, rng, tally| {
        let text = bar(task, 2);
        let (degree, _, suffix) = number(&text);
        let ends = if suffix == "-" {
            MINOR.to_vec()
        } else {
            vec![suffix.as_str()]
        };
        tally.right(task, &Answer::Number(format!("{degree}{}", one(rng, &ends))));
        let wrong = if rng.bool() {
            format!("{}{suffix}", (degree + rng.i32(0..6)) % 7 + 1)
        } else {
            format!("{degree}{}", if suffix == "-" { "" } else { "-" })
        };
        tally.wrong(task, &Answer::Number(wrong));
    });
}

#[test]
fn the_lowest_note_that_is_heard_names_the_inversion() {
    use leadbar::steel::hold::Inversion;
    thousand(Kind::HearInversion, |task, _, tally| {
        let heard = task.heard().unwrap();
        let instrument = &task.setting.instrument;
        let height = |s| {
            heard
                .performance
                .height(instrument, s, Beats(5.0), Tempo(84.0))
                .unwrap()
                .0
                .round() as i32
        };
        let lowest = heard.performance.plucks.iter().map(|p| height(p.string)).min().unwrap();
        let chord = classes(&bar(task, 0), task.setting.key);
        let at = chord.iter().position(|c| *c == lowest.rem_euclid(12)).unwrap();
        for (i, inversion) in [Inversion::Root, Inversion::First, Inversion::Second]
            .into_iter()
            .enumerate()
        {
            if i == at {
                tally.right(task, &Answer::Inversion(inversion));
            } else {
                tally.wrong(task, &Answer::Inversion(inversion));
            }
        }
    });
}

#[test]
fn the_bars_that_are_heard_are_right_however_they_are_set_out() {
    thousand(Kind::FollowByEar, |task, rng, tally| {
        let bars: Vec<String> = (0..4).map(|i| bar(task, i)).collect();
        let between = one(rng, &[" ", " | ", "\n", "  "]);
        tally.right(task, &Answer::Chart(bars.join(between)));
        let mut other = bars;
        let at = rng.usize(0..other.len());
        let (degree, _, suffix) = number(&other[at]);
        other[at] = if rng.bool() {
            format!("{}{suffix}", degree % 7 + 1)
        } else {
            format!("{degree}{}", if suffix == "-" { "" } else { "-" })
        };
        tally.wrong(task, &Answer::Chart(other.join(between)));
    });
}

/// The formula of beats: two tones near p : q beat |p f1 - q f2| times a second (Helmholtz 1863).
#[test]
fn a_string_is_in_tune_where_its_beats_stand_still_and_nowhere_else() {
    thousand(Kind::TuneBeats, |task, rng, tally| {
        let heard = task.heard().unwrap();
        let strings: Vec<_> = heard.performance.plucks.iter().map(|p| p.string).collect();
        let hertz = |index: usize| {
            let spec = &heard.instrument.strings[strings[index].index()];
            440.0 * ((f64::from(spec.pitch.number().unwrap().0) - 69.0 + spec.offset.0 / 100.0) / 12.0).exp2()
        };
        let (low, high) = (hertz(0).min(hertz(1)), hertz(0).max(hertz(1)));
        // The interval is that of the strings in tune; out of tune, a minor third may be nearer to a major one.
        let open = |s: &StringNumber| i32::from(heard.instrument.strings[s.index()].pitch.number().unwrap().0);
        let (p, q) = match (open(&strings[0]) - open(&strings[1])).abs() {
            3 => (6.0, 5.0),
            4 => (5.0, 4.0),
            5 => (4.0, 3.0),
            7 => (3.0, 2.0),
            other => panic!("{other} semitones are not tuned by beats"),
        };
        let still = 1200.0 * (p * low / (q * high)).log2();
        let rate = |turn: f64| (p * low - q * high * (turn / 1200.0).exp2()).abs();
        let near = still + (rng.f64() - 0.5) * 0.8;
        if rate(near) <= 0.24 {
            tally.right(task, &Answer::Cents(Cents(near)))
        }
        tally.right(task, &Answer::Cents(Cents(still + (rng.f64() - 0.5) * 0.1)));
        let far = still + (2.0 + rng.f64() * 30.0) * if rng.bool() { 1.0 } else { -1.0 };
        if rate(far) > 0.26 {
            tally.wrong(task, &Answer::Cents(Cents(far)))
        }
        tally.wrong(task, &Answer::Cents(Cents(still + 12.0 + rng.f64() * 30.0)));
    });
}
