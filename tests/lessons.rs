//! The shipped course as a course: its shape, its titles, and what a student can do in each lesson.

use leadbar::teach::{Course, Live};
use std::collections::BTreeSet;

fn course() -> Course {
    Course::shipped()
}

#[test]
fn the_course_has_five_parts_in_order_and_at_least_eighteen_lessons() {
    let course = course();
    let mut parts: Vec<&str> = course.lessons.iter().map(|l| l.head.part.as_str()).collect();
    parts.dedup();
    assert_eq!(parts, ["Numbers", "The neck", "Gestures", "Building", "Finishing"]);
    assert!(course.lessons.len() >= 18, "{} lessons", course.lessons.len());
}

#[test]
fn every_lesson_says_why_shows_lets_try_asks_three_times_and_says_what_is_next() {
    for lesson in course().lessons {
        let text = std::fs::read_to_string(&lesson.file).unwrap();
        let title = format!("# {}", lesson.head.title);
        let parts: Vec<&str> = text.lines().filter(|l| l.starts_with('#')).collect();
        let wanted = [
            title.as_str(),
            "## Why",
            "## See and hear it",
            "## Try it",
            "## Exercises",
            "## What comes next",
        ];
        assert_eq!(parts, wanted, "{}", lesson.file);
        assert!(lesson.exercises().count() >= 3, "{}", lesson.file);
    }
}

#[test]
fn nearly_every_lesson_has_something_to_see_and_hear() {
    let silent = |l: &leadbar::teach::Lesson| l.lives().iter().all(|live| matches!(live, Live::Exercise(_)));
    let silent: Vec<String> = course()
        .lessons
        .iter()
        .filter(|l| silent(l))
        .map(|l| l.head.id.clone())
        .collect();
    assert!(silent.is_empty(), "{silent:?}");
}

#[test]
fn the_course_is_not_in_one_key_and_never_only_in_e() {
    let mut keys = BTreeSet::new();
    for lesson in course().lessons {
        for live in lesson.lives() {
            match live {
                Live::Chart(chart) => keys.insert(chart.timeline.key.to_string()),
                Live::Pass(pass) => keys.insert(pass.timeline.key.to_string()),
                _ => false,
            };
        }
    }
    assert!(keys.len() >= 3 && !keys.contains("E"), "{keys:?}");
}
