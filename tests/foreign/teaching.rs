//! Lessons, and what is known of a student.

use leadbar::app::feels;
use leadbar::solo::Level;
use leadbar::teach::exercise::{Exercise, Kind};
use leadbar::teach::lesson::{Live, parse, parse_head};
use leadbar::teach::scorm::{
    Content, Standing, listed, resume_attempt, resume_progress, suspend_attempt, suspend_progress,
};
use leadbar::teach::{Assignment, Attempt, Item, Progress};

/// Every fault is in a line of the file, and what is live in a lesson can be shown.
pub(super) fn lesson(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let file = "lessons/01-numbers/01-a-song-with-a-hole.md";
    let parsed = parse(file, &text);
    let lines = text.lines().count() + 1;
    for fault in &parsed.faults {
        assert!((1..=lines).contains(&fault.line), "{fault} of {lines} lines");
    }
    let Some(lesson) = parsed.lesson else {
        assert!(!parsed.faults.is_empty());
        return;
    };
    assert_eq!(parse_head(file, &text).as_ref(), Some(&lesson.head));
    for live in lesson.lives() {
        match live {
            Live::Exercise(block) => {
                let _ = block.exercise.task(1);
            }
            Live::Pass(block) => {
                let _ = block.pass(feels::limits(Level::default()).expect("the limits"));
            }
            _ => {}
        }
    }
}

/// Lessons of the course.
pub(super) fn lessons() -> Vec<Vec<u8>> {
    [
        include_str!("../../lessons/01-numbers/01-a-song-with-a-hole.md"),
        include_str!("../../lessons/01-numbers/03-the-flat-seven.md"),
    ]
    .map(|text| text.as_bytes().to_vec())
    .to_vec()
}

/// What was kept of a student comes back as it was, from a file and from a platform.
pub(super) fn progress(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    if let Ok(read) = Progress::import(&text) {
        assert_eq!(Progress::import(&read.export()).as_ref().ok(), Some(&read));
        let mut merged = read.clone();
        merged.merge(&read);
        assert_eq!(merged, read);
        let of_the_course = resume_progress(&suspend_progress(&read));
        assert_eq!(of_the_course.ok(), Some(Some(read.of_the_course())));
    }
    let work = assignment();
    let _ = resume_progress(&text);
    if let Ok(Some(attempt)) = resume_attempt(&work, &text) {
        let again = resume_attempt(&work, &suspend_attempt(&work, &attempt).text);
        assert!(again.is_ok());
    }
    if let Ok(attempt) = serde_json::from_slice::<Attempt>(bytes) {
        let _ = attempt.fits(&work) && attempt.score(&work).0 <= 100;
    }
    let _ = (Content::read(&text), listed(&text));
    let standing = Standing::read("normal", &text);
    assert!(standing.wanted.is_none_or(|w| (0.0..=100.0).contains(&w)));
}

fn assignment() -> Assignment {
    let item = Item {
        exercise: Exercise::of(Kind::ALL[0]),
        seed: 7,
        weight: 1,
    };
    Assignment {
        title: "Week 1".to_owned(),
        items: vec![item],
        ..Assignment::default()
    }
}

/// Progress as a file and as a platform keeps it.
pub(super) fn kept() -> Vec<Vec<u8>> {
    let mut known = Progress::default();
    known.finish("a-song-with-a-hole", leadbar::teach::progress::Day(20_000));
    let work = assignment();
    let attempt = Attempt::of(1);
    let texts = [
        known.export(),
        suspend_progress(&known),
        suspend_attempt(&work, &attempt).text,
        serde_json::to_string(&attempt).unwrap_or_default(),
    ];
    texts.map(String::into_bytes).to_vec()
}
