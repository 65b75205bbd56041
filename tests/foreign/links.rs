//! Links, and what students hand in by them.

use super::files::put_to_use;
use super::texts::reads_again;
use super::{drafted, song};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use leadbar::app::shared::{IntoWork, SharedPass, SharedSong};
use leadbar::app::workshop::SharedInstrument;
use leadbar::exchange::link::{self, Linked};
use leadbar::steel::instrument;
use leadbar::teach::exercise::{Exercise, Kind};
use leadbar::teach::{Assignment, Class, Given, Handed, Item};
use miniz_oxide::deflate::compress_to_vec;

/// A link of any inside is refused, or gives what can be put to use and sent again alike. The first byte chooses what
/// the link says it holds; what follows is packed with a checksum that fits, so that it is looked into.
pub(super) fn link(bytes: &[u8]) {
    let _ = link::kind(&String::from_utf8_lossy(bytes));
    let Some((kind, inside)) = bytes.split_first() else {
        return;
    };
    let text = forged(*kind, inside);
    if let Some(song) = sent_again::<SharedSong>(&text) {
        put_to_use(&song.into_work());
    }
    if let Some(pass) = sent_again::<SharedPass>(&text) {
        put_to_use(&pass.into_work());
    }
    if let Some(work) = sent_again::<Assignment>(&text) {
        for item in &work.items {
            let Ok(task) = work.task(item) else { continue };
            let _ = (task.question(), task.shown(), task.hints(), task.input());
            assert!(
                task.mark(&task.model_answer()).is_right(),
                "{}",
                task.question().english()
            );
        }
    }
    if let Some(shared) = sent_again::<SharedInstrument>(&text) {
        reads_again(instrument::parse(&shared.instrument).expect("it was looked over"));
    }
    if let Some(handed) = sent_again::<Handed>(&text) {
        assert!(handed.score().0 <= 100);
    }
}

fn sent_again<T: Linked + PartialEq + std::fmt::Debug>(text: &str) -> Option<T> {
    let read: T = link::read(text).ok()?;
    // What is just short enough one way may be too long the other: then there is no link.
    if let Ok(again) = link::write(&read) {
        assert_eq!(link::read::<T>(&again).as_ref(), Ok(&read));
    }
    Some(read)
}

/// A link that says it holds `kind`, its checksum right.
fn forged(kind: u8, inside: &[u8]) -> String {
    let body = compress_to_vec(inside, 1);
    let head = [link::VERSION, kind];
    let mut sum = crc32fast::Hasher::new();
    sum.update(&head);
    sum.update(&body);
    let mut bytes = head.to_vec();
    bytes.extend(sum.finalize().to_le_bytes());
    bytes.extend(body);
    format!("open={}", URL_SAFE_NO_PAD.encode(bytes))
}

/// What links hold, each behind the letter of its kind.
pub(super) fn bodies() -> Vec<Vec<u8>> {
    let (work, pass) = drafted();
    let mut short = pass.clone();
    short.moves.truncate(2);
    short.length = song().length();
    let song = serde_json::to_vec(&SharedSong::of(work));
    let pass = serde_json::to_vec(&SharedPass::of(work, &short));
    let rig = SharedInstrument::of(&work.rig).and_then(|rig| serde_json::to_vec(&rig).ok());
    let set = serde_json::to_vec(&assignment());
    let handed = serde_json::to_vec(&handed());
    let led = |letter: u8, json: Vec<u8>| [vec![letter], json].concat();
    [(b's', song), (b'p', pass), (b'a', set), (b'h', handed)]
        .into_iter()
        .filter_map(|(letter, json)| Some(led(letter, json.ok()?)))
        .chain(rig.map(|json| led(b'i', json)))
        .collect()
}

fn assignment() -> Assignment {
    let item = |kind| Item {
        exercise: Exercise::of(kind),
        seed: 7,
        weight: 2,
    };
    Assignment {
        title: "Week 1".to_owned(),
        hints: true,
        items: [Kind::ALL[0], Kind::ALL[3]].map(item).to_vec(),
        ..Assignment::default()
    }
}

fn handed() -> Handed {
    let work = assignment();
    let answer = work.items.first().and_then(|item| work.task(item).ok());
    let given = Given {
        answer: answer.map(|task| task.model_answer()),
        ..Given::default()
    };
    Handed::new(work, "Student", vec![given])
}

/// A teacher's class takes any file, alone and beside a sound one, and writes a table of it.
pub(super) fn class(bytes: &[u8]) {
    let mut class = Class::default();
    class.take("any", bytes);
    // The same as the inside of what is handed in.
    class.take("forged", forged(b'h', bytes).as_bytes());
    let rows = class.sheets.len();
    let csv = class.csv();
    assert!(csv.matches("\r\n").count() > rows, "{csv}");
    assert!(class.missed().iter().all(|(_, part)| (0.0..=1.0).contains(part)));
    assert!(class.refused.iter().all(|refused| !refused.why.to_string().is_empty()));
}

/// What a student sends, as it comes and as it is inside.
pub(super) fn handed_in() -> Vec<Vec<u8>> {
    let link = link::write(&handed()).map(|link| format!("Mine: https://example.org/#{link}\n").into_bytes());
    let inside = serde_json::to_vec(&handed());
    link.into_iter().chain(inside).collect()
}
