//! The shipped course: every lesson is read without a fault.

use leadbar::teach::Course;

#[test]
fn every_shipped_lesson_is_read_without_a_fault() {
    let faults: Vec<String> = Course::shipped().faults.iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
