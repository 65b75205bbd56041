//! Hears recordings for readers outside the crate: mono, 16 bit little-endian, 44 100 samples a second, as
//! `songs.py` writes them.
//!
//! `cargo run --example hear -- song FILES.s16` writes what was heard beside each file (NAME.heard);
//! `... -- figures FILES.s16` writes what `learn.py` learns from (NAME.feat; NAME.json has the true beats).

use leadbar::listen::song::{Recording, Study, hear};
use leadbar::sound::SampleRate;
use leadbar::theory::Seconds;
use serde_json::{Value, json};
use std::error::Error;
use std::path::Path;
use std::time::Instant;
use std::{env, fs};

const RATE: SampleRate = SampleRate(44_100.0);

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = env::args().skip(1);
    let wanted = arguments.next().ok_or("usage: hear song|figures FILES.s16")?;
    let (mut heard, start) = (0.0, Instant::now());
    for path in arguments {
        let path = Path::new(&path);
        let recording = read(path)?;
        heard += recording.length().0;
        match wanted.as_str() {
            "figures" => fs::write(path.with_extension("feat"), figures(path, &recording)?.to_string())?,
            _ => fs::write(path.with_extension("heard"), song(&recording)?.to_string())?,
        }
    }
    let taken = start.elapsed().as_secs_f64();
    println!(
        "{heard:.0} s heard in {taken:.1} s: {:.0} times real time",
        heard / taken
    );
    Ok(())
}

fn read(path: &Path) -> Result<Recording, Box<dyn Error>> {
    let bytes = fs::read(path)?;
    let samples = bytes
        .as_chunks::<2>()
        .0
        .iter()
        .map(|pair| f32::from(i16::from_le_bytes(*pair)) / 32_768.0);
    Ok(Recording::of(samples, RATE))
}

fn song(recording: &Recording) -> Result<Value, Box<dyn Error>> {
    let song = hear(recording, |_| true)?;
    let mut value = serde_json::to_value(&song)?;
    value["chart"] = song.chart().to_string().into();
    Ok(value)
}

fn figures(path: &Path, recording: &Recording) -> Result<Value, Box<dyn Error>> {
    let truth: Value = serde_json::from_slice(&fs::read(path.with_extension("json"))?)?;
    let mut beats: Vec<Seconds> = serde_json::from_value(truth["beats"].clone())?;
    if let [.., before, last] = beats[..] {
        beats.push(last + (last - before));
    }
    let study = Study::of(recording, |_| true)?;
    let ways = study.countings().into_iter().map(
        |way| json!({ "beats": way.beats, "count": way.count, "first": way.first, "figures": way.figures.to_vec() }),
    );
    let colours = study.colours(&beats).into_iter().map(|colours| colours.to_vec());
    Ok(json!({
        "tuning": study.tuning(),
        "colours": colours.collect::<Vec<_>>(),
        "countings": ways.collect::<Vec<_>>(),
    }))
}
