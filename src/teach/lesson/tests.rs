//! Lessons read from text: what is understood, and how faults are told.

use super::*;
use crate::teach::Course;
use crate::theory::Beats;

const FILE: &str = "lessons/02-neck/03-grips.md";

const HEAD: &str = "+++\nid = \"grips\"\ntitle = \"Three strings\"\npart = \"The neck\"\n\
    skills = [\"Find a major chord\", \"Hear a pedal\"]\nminutes = 12\n+++\n";

fn with_body(body: &str) -> Parsed {
    parse(FILE, &format!("{HEAD}{body}"))
}

fn told(parsed: &Parsed) -> Vec<String> {
    parsed.faults.iter().map(ToString::to_string).collect()
}

fn clean(body: &str) -> Lesson {
    let parsed = with_body(body);
    assert_eq!(told(&parsed), [""; 0]);
    parsed.lesson.unwrap()
}

#[test]
fn text_becomes_blocks_and_nothing_else() {
    let lesson = clean(
        "# Sevens again\n\n## Why\nA *soft* and **strong** word, `3-4-5`,\nand [more](../01-numbers/02-sevens.md).\n\n\
         1. one\n2. two\n   - inner\n\n> Careful.\n\n| a | b |\n|---|---|\n| 1 | 2 |\n",
    );
    let text = |t: &str| Span::Text(t.to_owned());
    assert_eq!(lesson.blocks.len(), 5);
    assert_eq!(lesson.blocks[0], Block::Heading(2, vec![text("Why")]));
    assert_eq!(
        lesson.blocks[1],
        Block::Paragraph(vec![
            text("A "),
            Span::Emphasis(vec![text("soft")]),
            text(" and "),
            Span::Strong(vec![text("strong")]),
            text(" word, "),
            Span::Code("3-4-5".to_owned()),
            text(", and "),
            Span::Lesson {
                id: "sevens".to_owned(),
                words: vec![text("more")],
            },
            text("."),
        ])
    );
    let inner = Block::List(None, vec![vec![Block::Paragraph(vec![text("inner")])]]);
    assert_eq!(
        lesson.blocks[2],
        Block::List(
            Some(1),
            vec![
                vec![Block::Paragraph(vec![text("one")])],
                vec![Block::Paragraph(vec![text("two")]), inner]
            ]
        )
    );
    assert_eq!(
        lesson.blocks[3],
        Block::Aside(vec![Block::Paragraph(vec![text("Careful.")])])
    );
    let cells = |a: &str, b: &str| vec![vec![text(a)], vec![text(b)]];
    assert_eq!(lesson.blocks[4], Block::Table(cells("a", "b"), vec![cells("1", "2")]));
}

#[test]
fn every_kind_of_live_block_is_read() {
    let lesson = clean(
        "```chart\nkey G, 90;\n1 4 5 1\n```\n\
         ```neck\nfret = 10\nchanges = { A = 1, B = 1 }\nstrings = [3, 4, 5]\nchord = \"1\"\nkey = \"G\"\n```\n\
         ```pass\nchart = \"key G, 80; 1 1\"\nstrokes = \"\"\"\n1.1 3-4-5 3 - slide 1\n2.1 3-4-5 10 A+B\n\"\"\"\n```\n\
         ```pass\nchart = \"key D; 1 4 5 1\"\nfeel = \"ballad\"\nseed = 4\nentry = \"squeeze\"\n```\n\
         ```exercise\nkind = \"find-chord\"\nkey = [\"G\", \"D\"]\nchords = [\"1\", \"4\"]\nseed = 7\n```\n\
         ```exercise\nkind = \"hear-change\"\nseed = \"new each time\"\nskill = \"Hear a pedal\"\n```\n",
    );
    let lives = lesson.lives();
    assert_eq!(lives.len(), 6);
    let Live::Chart(chart) = lives[0] else {
        panic!("a chart")
    };
    assert_eq!(chart.timeline.bars.len(), 4);
    let Live::Neck(neck) = lives[1] else { panic!("a neck") };
    assert_eq!(neck.place.stance, neck.instrument.stance_of(&["A", "B"]).unwrap());
    assert_eq!(neck.chord().unwrap().symbol(), "G");
    let Live::Pass(pass) = lives[2] else { panic!("a pass") };
    let limits = crate::solo::Limits::steady().unwrap();
    let moves = pass.pass(&limits).unwrap().moves;
    assert_eq!((moves.len(), moves[0].length), (2, Beats(4.0)));
    let Live::Pass(drafted) = lives[3] else {
        panic!("a pass")
    };
    assert!(!drafted.pass(&limits).unwrap().moves.is_empty());
    let exercises: Vec<_> = lesson.exercises().collect();
    assert_eq!(
        (exercises[0].seed, exercises[0].skill.as_str()),
        (Some(7), "Find a major chord")
    );
    assert_eq!((exercises[1].seed, exercises[1].skill.as_str()), (None, "Hear a pedal"));
    assert_eq!(exercises[0].exercise.keys.len(), 2);
}

#[test]
fn faults_are_told_with_file_line_and_remedy() {
    let parsed = with_body(
        "Text <b>bold</b>\n\n\
         ```nek\nfret = 3\n```\n\
         ```neck\nfrett = 3\nchanges = { A = 1, C = 1 }\n```\n\
         ```chart\nkey G;\n1 x7q 4\n```\n\
         ```pass\nchart = \"key G; 1 4\"\nstrokes = \"\"\"\n1.1 3-4-5 3 -\n1.3 3-4-5 3 Q\n\"\"\"\n```\n\
         ```exercise\nkind = \"find-cord\"\n```\n\
         [out](https://example.org)\n",
    );
    let told = told(&parsed);
    let starts = [
        ("lessons/02-neck/03-grips.md, line 8: HTML is not shown in lessons", 0),
        (
            "lessons/02-neck/03-grips.md, line 10: \"nek\" is no live block (\"neck\" is near)",
            2,
        ),
        (
            "lessons/02-neck/03-grips.md, line 14: `frett` means nothing here (\"fret\" is near)",
            3,
        ),
        (
            "lessons/02-neck/03-grips.md, line 14: `fret` is missing: write for example fret = 3",
            4,
        ),
        (
            "lessons/02-neck/03-grips.md, line 15: one foot can't hold A and C together",
            5,
        ),
    ];
    for (start, index) in starts {
        assert!(told[index].starts_with(start), "{}\nis not\n{start}", told[index]);
    }
    let has = |line: usize, words: &str| {
        assert!(
            parsed
                .faults
                .iter()
                .any(|f| f.line == line && f.to_string().contains(words)),
            "line {line}: {words}\nnot in\n{}",
            told.join("\n")
        );
    };
    has(19, "x7q");
    has(25, "\"Q\" is nothing this instrument has");
    has(29, "find-chord");
    has(31, "is no lesson");
}

#[test]
fn a_note_foreign_to_the_chord_is_a_fault_unless_it_is_the_point() {
    let trap = "```neck\nfret = 0\nchanges = { B = 1, C = 1 }\nstrings = [5, 6, 8]\nchord = \"6-\"\nkey = \"A\"\n";
    let foreign = with_body(&format!("{trap}```\n"));
    assert!(
        told(&foreign)[0].contains("string 8 sounds E here, which is not in F#m"),
        "{:?}",
        told(&foreign)
    );
    clean(&format!("{trap}trap = true\n```\n"));
    let no_trap = with_body("```neck\nfret = 3\nstrings = [3, 4]\nchord = \"1\"\nkey = \"G\"\ntrap = true\n```\n");
    assert_eq!(no_trap.faults[0].kind, FaultKind::NoTrap);
}

#[test]
fn heads_are_held_to_their_file_and_to_each_other() {
    assert_eq!(parse(FILE, "no head").faults[0].kind, FaultKind::NoHead);
    assert_eq!(parse(FILE, "+++\nid = \"x\"\n").faults[0].kind, FaultKind::OpenHead);
    let other = parse("lessons/02-neck/03-other.md", HEAD);
    assert_eq!(
        other.faults[0].kind,
        FaultKind::IdOfFile("grips".to_owned(), "other".to_owned())
    );
    let second = HEAD.replace("skills", "needs = [\"grips\", \"nowhere\"]\nskills");
    let course = Course::of(&[(FILE, &second)]);
    let kinds: Vec<_> = course.faults.into_iter().map(|f| f.kind).collect();
    assert_eq!(
        kinds,
        [
            FaultKind::Later("grips".to_owned()),
            FaultKind::NoLesson("nowhere".to_owned())
        ]
    );
}

#[test]
fn a_head_alone_lists_a_lesson() {
    let head = parse_head(FILE, HEAD).unwrap();
    assert_eq!((head.id.as_str(), head.minutes), ("grips", 12));
}

#[test]
fn any_text_is_read_without_a_panic() {
    for text in [
        "",
        "+++",
        "+++\n+++\n",
        "+++\r\n+++\r\n```pass\n",
        "\u{feff}+++\n+++\n| a\n- \n  > ```neck\nfret=\"",
        "+++\nid=1\n+++\n````exercise\nseed = []\n",
    ] {
        let parsed = parse(FILE, text);
        assert!(!parsed.faults.is_empty(), "{text:?}");
    }
}
