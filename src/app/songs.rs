//! Songs to try things on. All of them are invented for this page.

/// A song that comes with the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DemoSong {
    /// Short name.
    pub id: &'static str,
    /// Its name.
    pub name: &'static str,
    /// What it is like, for the list.
    pub about: &'static str,
    /// The attitude that suits it.
    pub feel: &'static str,
    /// Its chart.
    pub chart: &'static str,
}

/// The songs that come with the page; the first is the one a first visitor hears.
pub const DEMO_SONGS: [DemoSong; 5] = [
    DemoSong {
        id: "tin-roof-monday",
        name: "Tin Roof Monday",
        about: key!("Rock in A with a flat seven"),
        feel: "driven",
        chart: include_str!("../../static/songs/tin-roof-monday.txt"),
    },
    DemoSong {
        id: "two-gates-road",
        name: "Two Gates Road",
        about: key!("Country two-beat in G"),
        feel: "country",
        chart: include_str!("../../static/songs/two-gates-road.txt"),
    },
    DemoSong {
        id: "lamp-on-the-sill",
        name: "Lamp on the Sill",
        about: key!("Ballad in D"),
        feel: "ballad",
        chart: include_str!("../../static/songs/lamp-on-the-sill.txt"),
    },
    DemoSong {
        id: "coalbin-shuffle",
        name: "Coalbin Shuffle",
        about: key!("Twelve-bar shuffle in C"),
        feel: "blues",
        chart: include_str!("../../static/songs/coalbin-shuffle.txt"),
    },
    DemoSong {
        id: "millpond-three",
        name: "Millpond in Three",
        about: key!("Waltz in F"),
        feel: "country",
        chart: include_str!("../../static/songs/millpond-three.txt"),
    },
];
