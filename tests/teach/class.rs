//! Assignments, what is handed in, and a class: by link, by file and as a QR code, with whatever can go wrong on the
//! way.

use leadbar::exchange::link::{self, LinkError};
use leadbar::teach::assignment::GRADER;
use leadbar::teach::class::{Refusal, Remark};
use leadbar::teach::exercise::{Answer, Exercise, Kind};
use leadbar::teach::qr::Code;
use leadbar::teach::{Assignment, Class, Given, Handed, Item, Score};

/// Ten exercises of ten kinds.
fn work() -> Assignment {
    let kinds = [
        Kind::NameChord,
        Kind::NameNumber,
        Kind::SpotWrong,
        Kind::FindChord,
        Kind::Inversions,
        Kind::HearChange,
        Kind::VoiceLead,
        Kind::Climb,
        Kind::Entrance,
        Kind::Ending,
    ];
    let item = |(seed, kind)| Item {
        exercise: Exercise::of(kind),
        seed,
        weight: 1,
    };
    Assignment {
        title: "Week three: the hole in the bridge".to_owned(),
        words: "Take your time with the last two.".to_owned(),
        due: "Thursday, before the lesson".to_owned(),
        hints: true,
        items: (40..).zip(kinds).map(item).collect(),
        ..Assignment::default()
    }
}

fn given(answer: Answer) -> Given {
    Given {
        answer: Some(answer),
        ..Given::default()
    }
}

/// A student who answers the first `right` exercises as the model does, and the rest as students do.
fn handed(name: &str, right: usize) -> Handed {
    let work = work();
    let answers = work.items.iter().enumerate().map(|(i, item)| {
        let task = work.task(item).unwrap();
        given(if i < right {
            task.model_answer()
        } else {
            task.typical_wrong().swap_remove(0)
        })
    });
    let answers = answers.collect();
    Handed::new(work, name, answers)
}

fn as_file(handed: &Handed) -> Vec<u8> {
    format!("https://school.example/leadbar/#{}\n", link::write(handed).unwrap()).into_bytes()
}

#[test]
fn ten_exercises_fit_a_qr_code_that_reads_back() {
    let text = format!("https://school.example/leadbar/#{}", link::write(&work()).unwrap());
    let code = Code::of(&text).unwrap();
    // Another reader than the writer: eight dots a module, and the quiet border.
    let dots = 8;
    let side = (code.side() + 8) * dots;
    let mut picture = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| {
        let module = |at: usize| (at / dots).wrapping_sub(4);
        if code.is_dark(module(x), module(y)) { 0 } else { 255 }
    });
    let grids = picture.detect_grids();
    assert_eq!(grids.len(), 1);
    let (_, read) = grids[0].decode().unwrap();
    assert_eq!(read, text);
    let fragment = read.split_once('#').unwrap().1;
    assert_eq!(link::read::<Assignment>(fragment), Ok(work()));
}

#[test]
fn what_is_handed_in_is_marked_again_to_the_same_score() {
    let sheet = handed("Wren", 10);
    assert_eq!((sheet.claim, sheet.score()), (Score(100), Score(100)));
    let back: Handed = link::read(&link::write(&sheet).unwrap()).unwrap();
    assert_eq!(back, sheet);
    assert_eq!(back.marks(), sheet.marks());
}

#[test]
fn weights_of_exercises_and_criteria_count() {
    let mut work = Assignment {
        items: work().items.into_iter().take(2).collect(),
        ..work()
    };
    work.items[0].weight = 3;
    let right = work.task(&work.items[0]).unwrap().model_answer();
    let only_first = vec![given(right)];
    assert_eq!(Handed::new(work.clone(), "Wren", only_first).score(), Score(75));
    // Only the root counts: the right root as another kind of chord has everything.
    work.items.truncate(1);
    for (criterion, weight) in [("root", 1), ("kind", 0), ("name", 0)] {
        work.weights.insert(criterion.to_owned(), weight);
    }
    let other_kind = work.task(&work.items[0]).unwrap().typical_wrong().pop().unwrap();
    assert_eq!(Handed::new(work, "Wren", vec![given(other_kind)]).score(), Score(100));
}

#[test]
fn a_number_is_weighed_by_its_spelling_as_it_was_when_that_was_called_its_name() {
    let mut work = Assignment {
        items: work().items.into_iter().take(1).collect(),
        ..work()
    };
    work.items[0].exercise = Exercise::of(Kind::NameNumber);
    let task = work.task(&work.items[0]).unwrap();
    let names: Vec<String> = task
        .mark(&task.model_answer())
        .criteria
        .iter()
        .map(|c| c.name.english())
        .collect();
    assert_eq!(names, ["root", "kind", "spelling"]);
    work.weights.insert("name".to_owned(), 0);
    assert_eq!(work.weight("spelling"), 0, "what was set before");
    work.weigh("spelling".to_owned(), 1);
    assert_eq!((work.weight("spelling"), work.weights.len()), (1, 0));
    work.weigh("spelling".to_owned(), 4);
    assert_eq!((work.weight("spelling"), work.weight("root")), (4, 1));
}

#[test]
fn bad_files_are_named_for_what_they_are_and_the_others_are_marked() {
    let mut class = Class::default();
    class.take("wren.txt", &as_file(&handed("Wren", 10)));
    let mut cut = as_file(&handed("Cut", 10));
    cut.truncate(300);
    class.take("cut.txt", &cut);
    let mut altered = as_file(&handed("Altered", 10));
    let at = altered.len() - 40;
    altered[at] = if altered[at] == b'A' { b'B' } else { b'A' };
    class.take("altered.txt", &altered);
    class.take("photo.jpg", &[0xff, 0xd8, 0xff, 0xe0]);
    class.take("essay.txt", b"I did it on paper.");
    class.take("video.mov", &vec![b' '; 50 << 20]);
    class.take("task.txt", link::write(&work()).unwrap().as_bytes());
    class.take("jay.txt", &as_file(&handed("Jay", 4)));
    let names: Vec<&str> = class.sheets.iter().map(|s| s.handed.name.as_str()).collect();
    assert_eq!(names, ["Jay", "Wren"]);
    let whys: Vec<(&str, &Refusal)> = class.refused.iter().map(|r| (r.file.as_str(), &r.why)).collect();
    let other = LinkError::OtherKind {
        found: link::Kind::Assignment,
        wanted: link::Kind::Answer,
    };
    assert_eq!(
        whys,
        [
            ("cut.txt", &Refusal::Link(LinkError::Damaged)),
            ("altered.txt", &Refusal::Link(LinkError::Damaged)),
            ("photo.jpg", &Refusal::NoText),
            ("essay.txt", &Refusal::Nothing),
            ("video.mov", &Refusal::TooLarge { megabytes: 50 }),
            ("task.txt", &Refusal::Link(other)),
        ]
    );
}

#[test]
fn a_forged_score_and_another_version_are_found() {
    let mut forged = handed("Jay", 4);
    let score = forged.score();
    forged.claim = Score(100);
    let mut older = handed("Wren", 10);
    older.grader = GRADER + 1;
    let mut class = Class::default();
    class.take("jay.txt", &as_file(&forged));
    class.take("wren.txt", &as_file(&older));
    assert_eq!(class.sheets[0].score, score);
    assert_eq!(
        class.sheets[0].remarks,
        [Remark::Claim {
            claim: Score(100),
            score
        }]
    );
    assert_eq!(class.sheets[1].remarks, [Remark::Version(GRADER + 1)]);
}

#[test]
fn other_work_a_second_try_and_open_exercises_are_told() {
    let mut other = work();
    other.title = "Week two".to_owned();
    let short = Handed::new(other, "Finch", vec![]);
    let mut most = handed("Wren", 10).answers;
    most[3] = Given::default();
    let but_one = Handed::new(work(), "Wren", most);
    let mut class = Class::default();
    let folder = [handed("Jay", 4), handed("jay", 9), short, but_one];
    for (i, sheet) in folder.iter().enumerate() {
        class.take(&format!("{i}.txt"), &as_file(sheet));
    }
    let remarks: Vec<Vec<String>> = class
        .sheets
        .iter()
        .map(|s| s.remarks.iter().map(ToString::to_string).collect())
        .collect();
    assert_eq!(
        remarks[0],
        [
            "10 of the exercises have no answer.",
            "It answers other work than the rest (Week two)."
        ]
    );
    assert_eq!(remarks[1], [""; 0]);
    assert_eq!(remarks[2], ["Jay handed in more than once: the best counts."]);
    assert_eq!(remarks[3], ["1 of the exercises has no answer."]);
    assert!(class.sheets[1].score > class.sheets[2].score);
}

#[test]
fn the_class_is_told_what_it_misses_most() {
    let mut class = Class::default();
    for name in ["Jay", "Wren", "Finch"] {
        class.take(name, &as_file(&handed(name, 3)));
    }
    let missed = class.missed();
    assert!(missed.windows(2).all(|w| w[0].1 >= w[1].1));
    assert!(
        missed
            .iter()
            .all(|(name, part)| !name.is_empty() && (0.0..=1.0).contains(part))
    );
    assert!(
        missed.iter().all(|(name, _)| *name != "bar"),
        "what everybody has right is not missed"
    );
}

/// RFC 4180 for the form; OWASP, "CSV Injection", for cells a spreadsheet would compute.
#[test]
fn the_table_is_comma_separated_and_no_cell_computes() {
    let mut class = Class::default();
    for name in ["=cmd|' /C calc'!A0", "+1", "-1", "@x", "Wren, \"the small\"", "J\nK"] {
        class.take("=file.txt", &as_file(&handed(name, 10)));
    }
    let csv = class.csv();
    assert!(csv.starts_with("name,work,score,exercise 1,"));
    assert!(csv.contains("\r\n'=cmd|' /C calc'!A0,"));
    assert!(csv.contains("\"Wren, \"\"the small\"\"\","));
    assert!(csv.contains("\"J\nK\","));
    for line in csv.split("\r\n").skip(1).filter(|l| !l.is_empty()) {
        assert!(!line.starts_with(['=', '+', '-', '@']), "{line}");
        assert!(line.ends_with(",'=file.txt"), "{line}");
    }
}

#[test]
fn work_from_outside_that_makes_no_sense_is_refused() {
    let refused = |spoil: fn(&mut Assignment)| {
        let mut spoilt = work();
        spoil(&mut spoilt);
        link::write(&spoilt)
            .map(|l| link::read::<Assignment>(&l))
            .is_ok_and(|read| read.is_err())
    };
    assert!(refused(|w| w.items.clear()));
    assert!(refused(|w| w.items[0].weight = 0));
    assert!(refused(|w| w.items[0].exercise.chart = Some("1 x7q".to_owned())));
    assert!(refused(
        |w| w.items[0].exercise.chart = Some("|: 1 1 1 1 :|x16".to_owned())
    ));
    assert!(refused(|w| w.items[0].exercise.places = Some(200)));
    assert!(refused(|w| w.instrument = Some("id = 3".to_owned())));
    assert!(refused(|w| w.weights.extend([("notes".to_owned(), 200)])));
    assert!(!refused(|w| w.words.clear()));
}
