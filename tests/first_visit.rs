//! What a visit begins with is what the page would give: its passes are the planner's, its frame has the page's places.

use leadbar::app::{View, first, planning};

#[test]
fn the_passes_that_come_with_the_page_are_what_the_planner_gives_today() {
    let come = first::read(include_str!("../static/first-draft.json")).unwrap();
    let drafted = planning::plan(&first::ask().unwrap()).unwrap();
    assert!(
        come == drafted,
        "write them anew: cargo run --example first-draft > static/first-draft.json"
    );
}

#[test]
fn the_frame_that_is_seen_first_names_the_places_of_the_bar() {
    let page = include_str!("../index.html");
    let names: Vec<&str> = page
        .split_once(r#"<div class="nav">"#)
        .and_then(|(_, rest)| rest.split_once("</div>"))
        .into_iter()
        .flat_map(|(bar, _)| bar.split("<span").skip(1))
        .filter_map(|place| place.split(['>', '<']).nth(1))
        .collect();
    assert_eq!(names, View::BAR.map(View::name));
}

#[test]
fn the_frame_that_is_seen_first_says_what_is_translated() {
    let page = include_str!("../index.html");
    assert!(page.contains(&format!("<span>{}</span>", first::SAID)));
}

#[test]
fn the_script_before_the_page_knows_every_place() {
    let script = include_str!("../static/first.js");
    let list = script
        .split_once("const PLACES = [")
        .and_then(|(_, rest)| rest.split_once("];"));
    let places: Vec<String> = list
        .into_iter()
        .flat_map(|(list, _)| list.split(", "))
        .map(|place| place.trim_matches('"').to_owned())
        .collect();
    assert_eq!(places, View::ALL.map(|view| view.name().to_lowercase()));
}
