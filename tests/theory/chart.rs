//! Charts as a player writes them: what is read, what is said of what is not, and what is played.

use leadbar::theory::chart::{self, MOST_BARS, Parsed};
use leadbar::theory::{Hit, Timeline};

/// The numbers of a song in playing order, a bar line between bars, `r` for a rest.
fn played(song: &Timeline) -> String {
    let mut words = Vec::new();
    let mut bar = 0;
    for span in &song.spans {
        if span.bar != bar {
            words.push("|".to_owned());
            bar = span.bar;
        }
        words.push(if span.hit == Hit::Rest {
            "r".to_owned()
        } else {
            span.numeral.to_string()
        });
    }
    words.join(" ")
}

fn clean(text: &str) -> Parsed {
    let parsed = chart::parse(text);
    assert_eq!(parsed.problems, [], "{text}");
    parsed
}

#[test]
fn what_is_written_is_what_is_played() {
    for (text, expected) in [
        ("key A, 132, rock; 1 1 4 1 / b7 4 1 5", "1 | 1 | 4 | 1 | b7 | 4 | 1 | 5"),
        ("1 | 4 || 5 | 1", "1 | 4 | 5 | 1"),
        ("key G\n1 4\n5 1", "1 | 4 | 5 | 1"),
        ("1, 4, 5, 1", "1 | 4 | 5 | 1"),
        ("1 (4 5) 6- %", "1 | 4 5 | 6- | 6-"),
        ("1... 4. 5", "1 4 | 5"),
        ("(1... 4) (1 r)", "1 4 | 1 r"),
        ("|: 1 4 :|x3 5", "1 | 4 | 1 | 4 | 1 | 4 | 5"),
        ("1 4 :| 5", "1 | 4 | 1 | 4 | 5"),
        ("|: 1 [1.] 4 :| [2.] 5 6-", "1 | 4 | 1 | 5 | 6-"),
        ("|: 1 [1,2.] 4 :| [3.] 5 :| 1", "1 | 4 | 1 | 4 | 1 | 5 | 1"),
        (
            "|: 1 :| |: 4 [1.] 5 :| [2.] 6- |: 2- :|",
            "1 | 1 | 4 | 5 | 4 | 6- | 2- | 2-",
        ),
        ("1 :| [1.] 4 :| [3.] 5", "1 | 1 | 1 | 5"),
        ("key C; C Am7 F/A G7 Bb", "1 | 6-7 | 4/6 | 57 | b7"),
        ("key F; I vi7 IV V/7 V7/V I6 bVII", "1 | 6-7 | 4 | 5/7 | 27 | 1/3 | b7"),
        ("key Am; i VI III VII", "1- | b6 | b3 | b7"),
        ("key C; C [mod +2] D [key F] F", "1 | 1 | 1"),
        (
            "2m 4^ 5sus 1o 42 7ø b3+",
            "2- | 4maj7 | 5sus4 | 1dim | 4add9 | 7-7b5 | b3+",
        ),
        ("Verse: 1 4 Last chorus: 5 \"1 4\": 1", "1 | 4 | 5 | 1"),
        ("|: 1 4 :| x2 5", "1 | 4 | 1 | 4 | 5"),
        ("|: 1 4 :| (3x) 5", "1 | 4 | 1 | 4 | 1 | 4 | 5"),
        ("1 N.C. n.c. NC 4", "1 | r | r | r | 4"),
        ("(N.C.. 1...)", "r 1"),
        ("1… 4. 2–7", "1 4 | 2-7"),
        ("“1st time”: 1 „4“: 5", "1 | 5"),
    ] {
        assert_eq!(played(&clean(text).chart.timeline()), expected, "{text}");
    }
}

#[test]
fn the_heading_is_read_in_any_order() {
    for text in [
        "Mill Road, key Bb, 96, 3/4, waltz, swung; 1 4",
        "swung, waltz, 3/4, 96, key Bb, Mill Road; 1 4",
        "title Mill Road, tempo 96, metre 3/4, style waltz, Bb, swing\n1 4",
        "Mill Road\nkey: Bb\n96 bpm\n3/4\nwaltz\nswung\n1 4",
        "Bb, 96, 3/4, waltz, swung, Mill Road\n1 4",
        "Title: Mill Road\nKey: Bb\nTempo: 96\n3/4 time\nFeel: waltz\nFeel: swung\n1 4",
        "Mill Road, Key: Bb, Tempo: 96 bpm, Time signature: 3/4, style waltz, feel swing; 1 4",
    ] {
        let chart = clean(text).chart;
        assert_eq!(
            chart.to_string().replace('\n', " / "),
            "Mill Road, key Bb, 96, 3/4, waltz, swung; 1 4",
            "{text}"
        );
    }
    assert_eq!(clean("key F# minor; 1-").chart.key.to_string(), "F#m");
    assert_eq!(clean("A; 1").chart.key.to_string(), "A");
}

#[test]
fn bars_may_follow_the_heading_without_a_semicolon() {
    for (typed, printed) in [
        ("key G 1 4 5 1", "key G; 1 4 5 1"),
        ("G, 120, 1 4 5 1", "key G, 120; 1 4 5 1"),
        (
            "key A, 132, rock 1 1 4 1 / b7 4 1 5",
            "key A, 132, rock; 1 1 4 1 / b7 4 1 5",
        ),
        ("Key: Bb, 96, 3/4 | 1 | 4 5 |", "key Bb, 96, 3/4; | 1 | 4 5 |"),
        ("key Am 1- 4- 57 1-\n4- 1-", "key Am; 1- 4- 57 1-\n4- 1-"),
        ("key Bb 1 6- (4 5) 1 / b7 4", "key Bb; 1 6- (4 5) 1 / b7 4"),
        ("key D, 90 |: 1 | 4 :|", "key D, 90; |: 1 | 4 :|"),
        ("key D, 90, ballad <1> 4!", "key D, 90, ballad; <1> 4!"),
    ] {
        assert_eq!(clean(typed).chart, clean(printed).chart, "{typed}");
    }
}

#[test]
fn what_is_wrong_in_bars_after_a_heading_is_told_there() {
    let parsed = chart::parse("key G 1 4 x9 1");
    let numbers: Vec<String> = parsed
        .chart
        .timeline()
        .spans
        .iter()
        .map(|s| s.chord.to_string())
        .collect();
    assert_eq!(numbers, ["G", "C", "G"]);
    let [problem] = parsed.problems.as_slice() else {
        panic!("{:?}", parsed.problems)
    };
    assert_eq!((problem.place.line, problem.place.column), (1, 11));
}

#[test]
fn bars_are_not_taken_for_a_heading() {
    for text in ["1 4 5", "57\n47", "G\nC", "5/7 1", "b7, 4", "Verse: 1 4"] {
        assert_eq!(clean(text).chart.title, None, "{text}");
    }
    assert_eq!(clean("57\n47").chart.timeline().bars.len(), 2);
    assert_eq!(chart::parse("1 4 5; 1").chart.timeline().bars.len(), 4);
}

#[test]
fn sections_keys_and_metres_change_where_they_are_written() {
    let song = clean("key D, 120; Verse: 1 [2/4] 5 [4/4] 4 Chorus 2: [mod +2] 1")
        .chart
        .timeline();
    let starts: Vec<f64> = song.bars.iter().map(|bar| bar.start.0).collect();
    assert_eq!(starts, [0.0, 4.0, 6.0, 10.0]);
    assert_eq!(song.bars[0].section.as_deref(), Some("Verse"));
    assert_eq!(song.bars[3].section.as_deref(), Some("Chorus 2"));
    assert_eq!(song.spans[3].chord.symbol(), "E");
    assert_eq!(song.length().0, 14.0);
}

#[test]
fn pushes_diamonds_chokes_and_beats_have_their_time() {
    let song = clean("key A; 1 <4 <<5> (1! 4...)").chart.timeline();
    let seen: Vec<(f64, f64, Hit, bool)> = song
        .spans
        .iter()
        .map(|s| (s.start.0, s.length.0, s.hit, s.pushed))
        .collect();
    assert_eq!(
        seen,
        [
            (0.0, 3.5, Hit::Played, false),
            (3.5, 4.0, Hit::Played, true),
            (7.5, 4.5, Hit::Held, true),
            (12.0, 1.0, Hit::Choked, false),
            (13.0, 3.0, Hit::Played, false),
        ]
    );
    let swung = clean("swung; 1 <4").chart.timeline();
    assert!((swung.spans[1].start.0 - 11.0 / 3.0).abs() < 1e-12, "the late eighth");
    assert_eq!(clean("<1 4").chart.timeline().spans[0].start.0, 0.0);
}

/// Each text with the line, column and a piece of the words of its first problem, and the labels of its fixes.
#[test]
fn each_mistake_is_told_with_its_place_and_a_way_out() {
    for (text, line, column, words, fixes) in [
        ("", 1, 1, "no bar yet", vec![]),
        ("key A;", 1, 7, "no bar yet", vec![]),
        ("key A; 1 4\n5 what 1", 2, 3, "not a chord", vec!["what:"]),
        ("1 5/5 1", 1, 3, "two things", vec!["5", "2"]),
        ("1 (<5/5>... 4.)", 1, 4, "two things", vec!["<5>...", "<2>..."]),
        ("1 IV/V", 1, 3, "two things", vec!["4/5", "1"]),
        ("145", 1, 1, "not a kind of chord", vec!["1 4 5"]),
        ("1 8", 1, 3, "not a number from 1 to 7", vec![]),
        ("1 (4 5", 1, 3, "never closed", vec![]),
        ("1 4) 5", 1, 4, "closes nothing", vec![]),
        ("1 ()", 1, 3, "no chord between", vec![]),
        ("((1 4) 5)", 1, 2, "within a bar", vec![]),
        ("1.. 4", 1, 1, "make 2 beats, and the bar has 4", vec![]),
        ("% 1", 1, 1, "there is none", vec![]),
        ("[1/3] 1", 1, 1, "not understood", vec![]),
        ("[2/4 1", 1, 1, "never closed", vec![]),
        ("|: 1 4", 1, 1, "never ends", vec![]),
        ("1 :|x99", 1, 3, "2 to 16 times", vec![]),
        ("1 4; 5", 1, 4, "Between lines write /", vec![" /"]),
        ("key H; 1", 1, 1, "H", vec![]),
        ("key A, 132, key G; 1", 1, 13, "given twice", vec![]),
        ("key A, 900; 1", 1, 8, "not a tempo", vec![]),
        ("key A, 7/3; 1", 1, 8, "not a metre", vec![]),
        ("é é 8", 1, 1, "not a chord", vec![]),
    ] {
        let parsed = chart::parse(text);
        let problem = parsed.problems.first().unwrap_or_else(|| panic!("{text}: no problem"));
        let found: Vec<&str> = problem.fixes.iter().map(|f| f.text.as_str()).collect();
        assert_eq!(
            (problem.place.line, problem.place.column),
            (line, column),
            "{text}: {}",
            problem.words.english()
        );
        assert!(
            problem.words.english().contains(words),
            "{text}: {}",
            problem.words.english()
        );
        assert_eq!(found, fixes, "{text}");
    }
}

#[test]
fn a_number_that_is_asked_about_keeps_its_place_as_a_rest() {
    let parsed = chart::parse("1 5/5 4");
    assert_eq!(played(&parsed.chart.timeline()), "1 | r | 4");
    let mended = parsed.problems[0].fixes[1].apply("1 5/5 4");
    assert_eq!(played(&clean(&mended).chart.timeline()), "1 | 2 | 4");
}

#[test]
fn a_plain_seven_and_letters_without_a_key_are_remarked_on_not_changed() {
    let parsed = clean("key A, rock; 1 (<7 4)");
    assert_eq!(parsed.remarks[0].place.column, 17);
    assert_eq!(
        parsed.remarks[0].fixes[0].apply("key A, rock; 1 (<7 4)"),
        "key A, rock; 1 (<b7 4)"
    );
    assert_eq!(parsed.chart.timeline().spans[1].chord.symbol(), "G#");
    assert_eq!(clean("G C").remarks.len(), 1);
    assert_eq!(clean("key G; G C 57 b7 47").remarks.len(), 0);
}

#[test]
fn a_minor_song_is_kept_as_written_and_counted_both_ways() {
    let chart = clean("key Em; 1- b6 [mod +2] 1- [key Am] 1-").chart;
    let other = chart.counted_from_relative();
    assert_eq!(other.to_string(), "key G; 6- 4 [mod +2] 6- [key C] 6-");
    assert_eq!(other.counted_from_relative(), chart);
    let chords = |c: &chart::Chart| c.timeline().spans.iter().map(|s| s.chord).collect::<Vec<_>>();
    assert_eq!(chords(&other), chords(&chart));
}

#[test]
fn a_song_too_long_is_cut_and_told() {
    let text = format!("key A; {}", "1 ".repeat(300) + ":|x16");
    let parsed = chart::parse(&text);
    assert_eq!(parsed.chart.timeline().bars.len(), MOST_BARS);
    assert!(parsed.problems[0].words.english().contains("longer than 2000 bars"));
}

#[test]
fn repeats_without_a_bar_come_to_an_end() {
    assert_eq!(
        chart::parse(":| [1.] :| [3.] |: :|x16 :|").chart.timeline().bars.len(),
        0
    );
}

#[test]
fn a_chart_of_a_megabyte_of_any_one_sign_is_read() {
    for sign in [
        "(", ")", "[", "\"", "1 ", "1", "<", ".", "1.", "|:", ":|", "x:", "/", "[1.]", "1/", "\n", ",", ";", "é", "( 1",
    ] {
        let text = sign.repeat(1_000_000 / sign.len());
        let parsed = chart::parse(&text);
        assert!(parsed.problems.len() + parsed.remarks.len() <= 200, "{sign}");
        assert!(parsed.chart.timeline().bars.len() <= MOST_BARS, "{sign}");
    }
}

#[test]
fn many_stray_counts_in_one_line_are_read() {
    let parsed = chart::parse(&"1 x3 ".repeat(200_000));
    assert!(!parsed.problems.is_empty());
}

#[test]
fn every_example_of_the_help_is_read() {
    for (example, _) in chart::HELP {
        let text = match example {
            "%" => "1 %".to_owned(),
            _ if example.ends_with([';', ':', ']', '/']) => format!("{example} 1"),
            _ => example.to_owned(),
        };
        clean(&text);
    }
}

#[test]
fn what_a_hurried_hand_plainly_means_is_read_as_that() {
    for (typed, printed) in [
        ("key G; 1 mod +2 1", "key G; 1 [mod +2] 1"),
        ("key G; 1 mod –2 1", "key G; 1 [mod -2] 1"),
        ("key G; 1 Mod+2 1", "key G; 1 [mod +2] 1"),
        ("key G; 1 [mod A] 1", "key G; 1 [key A] 1"),
        ("key G; 1 key A minor 1", "key G; 1 [key Am] 1"),
        ("key G; 1\nKey: A\n1", "key G; 1\n[key A]\n1"),
        ("key G; 1 [Key of A] 1", "key G; 1 [key A] 1"),
        (
            "key G\nVerse\n1 4\nChorus 2\n5 1",
            "key G; Verse: \n1 4\nChorus 2: \n5 1",
        ),
        (
            "key G; [Pre-Chorus] 1 [Steel solo] 4",
            "key G; \"Pre-Chorus\": 1 Steel solo: 4",
        ),
        ("key G; Intro / 1 4", "key G; Intro: / 1 4"),
    ] {
        let chart = clean(typed).chart;
        let wanted = clean(printed).chart;
        assert_eq!(chart, wanted, "{typed}");
    }
}

/// Each text with the labels of the repairs of its first doubt, and the text after the first repair.
#[test]
fn what_may_mean_several_things_is_mended_at_one_tap() {
    for (typed, labels, mended) in [
        ("1 - 4 - 5\n6-", vec!["Take the dashes away"], "1 4 5\n6-"),
        ("key A; 1-4-5 – 1", vec!["Take the dashes away"], "key A; 1 4 5 1"),
        ("1 6/8 4", vec!["Write [6/8]"], "1 [6/8] 4"),
        ("1 4/4 4", vec!["Write [4/4]", "Write 4", "Write 1"], "1 [4/4] 4"),
        ("1 2/4 4", vec!["Write [2/4]"], "1 [2/4] 4"),
        ("1 3/4 4", vec!["Write [3/4]"], "1 [3/4] 4"),
        ("4\n1 5 x3", vec!["Repeat the line", "Repeat the bar"], "4\n|: 1 5 :|x3"),
        ("|: 1 5 x3", vec!["End the repeat here"], "|: 1 5 :|x3"),
        ("Slow part\n1 4", vec!["Make it a section"], "Slow part:\n1 4"),
        ("1 [Slow part] 4", vec!["Make it a section"], "1 Slow part: 4"),
        ("7 1\n7-7 7!", vec!["Write b7 in all 2 places"], "b7 1\n7-7 b7!"),
    ] {
        let parsed = chart::parse(typed);
        let doubt = parsed.problems.iter().chain(&parsed.remarks).next();
        let doubt = doubt.unwrap_or_else(|| panic!("{typed}: nothing is said"));
        let found: Vec<String> = doubt.fixes.iter().map(|f| f.label.english()).collect();
        assert_eq!(found, labels, "{typed}: {}", doubt.words.english());
        let after = doubt.fixes[0].apply(typed);
        assert_eq!(after, mended, "{typed}");
        let again = chart::parse(&after);
        assert_eq!((again.problems, again.remarks), (vec![], vec![]), "{after}");
    }
}

#[test]
fn one_thing_is_said_once() {
    for (typed, problems, remarks) in [("1 - 4 - 5 - 1", 1, 0), ("1-4-5 1-4 - 5", 1, 0), ("7 1 7 (7 4)", 0, 1)] {
        let parsed = chart::parse(typed);
        assert_eq!(
            (parsed.problems.len(), parsed.remarks.len()),
            (problems, remarks),
            "{typed}"
        );
    }
}

#[test]
fn each_bar_knows_where_it_is_written() {
    let text = "key A; |: 1 (4 5) :| 1... 4. % 6-";
    let parsed = clean(text);
    let written: Vec<&str> = parsed.bars.iter().map(|bar| &text[bar.clone()]).collect();
    assert_eq!(written, ["1", "(4 5)", "1... 4.", "%", "6-"]);
    let played = parsed.chart.timeline().bars;
    let numbers: Vec<usize> = played.iter().map(|bar| bar.written).collect();
    assert_eq!(numbers, [0, 1, 0, 1, 2, 3, 4]);
}

#[test]
fn a_heading_may_be_ended_piece_by_piece() {
    let parsed = chart::parse("title Tin Gutter Rain; key D, 92; 1 4 5 1");
    assert_eq!(parsed.problems, []);
    let read = parsed.chart;
    assert_eq!(read.title.as_deref(), Some("Tin Gutter Rain"));
    assert_eq!(
        (read.key.to_string().as_str(), read.tempo),
        ("D", Some(leadbar::theory::Tempo(92.0)))
    );
    // What follows a heading and is closed by mistake is bars all the same.
    assert_eq!(chart::parse("key D; 1 4 5 1; 4 4 1 1").chart.key.to_string(), "D");
    assert_eq!(chart::parse("key D; 1 4 5 1; 4 4 1 1").problems.len(), 1);
}
