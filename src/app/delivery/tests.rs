//! A parcel as it is put together, read back byte for byte.

use super::*;
use crate::app::LoopBars;
use crate::app::jobs::{self, Job, Product};
use crate::app::takes::{Heard, Pace, Takes, WaveFile};
use crate::sample;
use crate::sound::{Amp, Mix, Score};
use crate::theory::Naming;

/// Piles in memory, and what was told.
#[derive(Default)]
struct Shelf {
    piles: Vec<Vec<u8>>,
    told: Vec<Progress>,
    full: bool,
}

impl Bench for Shelf {
    fn going(&mut self, progress: Progress) {
        self.told.push(progress);
    }

    fn put(&mut self, pile: usize, bytes: &[u8]) -> Result<(), Refused> {
        if self.full {
            return Err(Refused(said!("There is no room.")));
        }
        self.piles.resize(self.piles.len().max(pile + 1), Vec::new());
        self.piles[pile].extend_from_slice(bytes);
        Ok(())
    }
}

fn order(wishes: Wishes) -> Order {
    let mut song = sample::song();
    song.bars.truncate(1);
    song.spans.truncate(1);
    let mut performance = sample::solo();
    performance.length = song.length();
    performance.plucks.retain(|pluck| pluck.at < song.length());
    let brief = Brief {
        score: Score::new(sample::e9(), performance, song),
        rate: SampleRate(48_000.0),
        count_in: 0,
        stems: Vec::new(),
        mix: Mix::default(),
        clean: Amp::CLEAN,
        driven: Amp::DRIVEN,
        mix_driven: false,
        loudness: Lufs(-16.0),
    };
    Order {
        title: Some("Tin Roof".to_owned()),
        chart: "key G, 120; 1".into(),
        take: Chosen::Drafted(0),
        take_words: "Take 1".into(),
        notes: vec![TakeLine {
            bar: 1,
            words: "Slide: into the chord".into(),
        }],
        wishes,
        brief,
        written: Moment::EARLIEST,
        reader: Reader::default(),
        played: Vec::new(),
    }
    .settled()
}

fn delivered(order: &Order) -> (Delivery, Vec<u8>, Shelf) {
    let mut shelf = Shelf::default();
    let job = Job::Deliver(Box::new(order.clone()));
    let Ok(Product::Delivery(delivery)) = jobs::work(&job, &mut shelf) else {
        panic!("nothing delivered");
    };
    (*delivery, shelf.piles.concat(), shelf)
}

fn number(bytes: &[u8], at: usize) -> usize {
    u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap()) as usize
}

/// The files of an archive by its local headers, each with its name; their checksums are held to.
fn files(mut archive: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut files = Vec::new();
    while archive.starts_with(b"PK\x03\x04") {
        let (size, name) = (number(archive, 18), number(archive, 26) & 0xFFFF);
        let bytes = archive[30 + name..][..size].to_vec();
        assert_eq!(number(archive, 14), crc32fast::hash(&bytes) as usize);
        files.push((String::from_utf8(archive[30..30 + name].to_vec()).unwrap(), bytes));
        archive = &archive[30 + name + size..];
    }
    files
}

#[test]
fn the_parcel_holds_the_files_that_were_planned_each_of_the_size_that_was_said() {
    for (width, count_in) in [(Width::Pcm24, true), (Width::Pcm16, false), (Width::Float32, true)] {
        let order = order(Wishes {
            width,
            count_in,
            ..Wishes::default()
        });
        let (delivery, archive, shelf) = delivered(&order);
        assert_eq!(archive.len() as u64, delivery.size);
        let (files, planned) = (files(&archive), order.planned());
        assert_eq!(files.len(), 7);
        for ((name, bytes), planned) in files.iter().zip(&planned) {
            assert_eq!(name, &planned.name);
            if planned.stem.is_some() {
                assert_eq!(bytes.len() as u64, planned.size);
            }
        }
        assert_eq!(shelf.told.last().map(|p| p.percent()), Some(100));
        assert!(shelf.told.is_sorted());
    }
}

/// Writes what was played as the page does, `samples` being all takes there are.
fn written(order: &mut Order, takes: &Takes, samples: &[f32]) -> Vec<Vec<u8>> {
    let mut files = Vec::new();
    for played in Order::to_write(takes) {
        let (line, mut named) = (order.line(&played, takes), order.named(&played, takes));
        let mut file = WaveFile::new(order.wishes.rate.hertz());
        let (mut body, mut block) = (Vec::new(), Vec::new());
        let all = 0..line.length().frames;
        let given = line
            .wants(&all)
            .into_iter()
            .map(|want| samples[want.frames.start as usize..want.frames.end as usize].to_vec());
        line.mix(&all, &given.collect::<Vec<_>>(), &mut block);
        body.extend(file.add(block));
        let ends = file.finish(&order.stamp(&named), &mut named).expect("short");
        files.push([ends.head.as_slice(), &body, ends.foot].concat());
        order.played.push(named);
    }
    files
}

#[test]
fn what_was_played_lies_beside_the_stems_as_long_as_they_are_and_an_impulse_where_it_was_played() {
    let mut order = order(Wishes {
        stems: vec![Stem::AmpClean],
        ..Wishes::default()
    });
    let rate = SampleRate(48_000.0);
    // The recording begins a second before bar 1 and hears itself 80 ms late; on beat 2 there is an impulse.
    let mut samples = vec![0.0; 4 * 48_000];
    samples[48_000 + 24_000] = 1.0;
    let heard = Heard {
        rate,
        frames: samples.len() as u64,
        at: Seconds(-0.92),
        peaks: Vec::new(),
        clipped: false,
    };
    let song = order.brief.score.timeline.clone();
    let mut takes = Takes::default();
    let bars = LoopBars { from: 0, to: 0 };
    takes.add(
        heard,
        "k".to_owned(),
        bars,
        Some(Seconds(0.08)),
        &song,
        &Pace::of(&song, None),
    );
    let bytes = written(&mut order, &takes, &samples);
    let (delivery, archive, _) = delivered(&order);

    // Whoever has the bytes puts them in.
    let mut whole = Vec::new();
    let mut from = 0;
    for (gap, bytes) in delivery.gaps.iter().zip(&bytes) {
        whole.extend_from_slice(&archive[from..*gap as usize]);
        whole.extend_from_slice(bytes);
        from = *gap as usize;
    }
    whole.extend_from_slice(&archive[from..]);
    assert_eq!(whole.len() as u64, delivery.size);
    let files = files(&whole);
    let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    let planned: Vec<String> = order.planned().into_iter().map(|file| file.name).collect();
    assert_eq!(names, planned);
    assert_eq!(
        names[1..3],
        [
            "tin-roof_steel-played-1_take1_G_120bpm.wav",
            "tin-roof_steel-played-comp_take1_G_120bpm.wav"
        ]
    );
    let sheet = String::from_utf8(files[3].1.clone()).unwrap();
    for file in &order.played {
        assert!(
            sheet.contains(&file.name) && sheet.contains(&file.about.english()),
            "{sheet}"
        );
    }
    let head = WaveFile::format(48_000).head_size() as usize;
    for (name, file) in &files[1..3] {
        assert_eq!(file.len(), files[0].1.len(), "{name}");
        let loudest = file[head..]
            .chunks_exact(3)
            .position(|b| i32::from_le_bytes([0, b[0], b[1], b[2]]) >> 8 > 8_000_000);
        // Two seconds are counted in, and beat 2 is half a second after bar 1.
        assert_eq!(loudest, Some(96_000 + 24_000), "{name}");
    }
}

#[test]
fn the_same_order_gives_the_same_bytes() {
    let order = order(Wishes {
        stems: vec![Stem::AmpClean, Stem::Mix],
        width: Width::Pcm16,
        ..Wishes::default()
    });
    assert!(delivered(&order).1 == delivered(&order).1);
}

#[test]
fn the_sheet_says_what_whoever_opens_it_has_to_know() {
    let (delivery, archive, _) = delivered(&order(Wishes::default()));
    let (name, sheet) = files(&archive).pop().unwrap();
    let sheet = String::from_utf8(sheet).unwrap();
    println!("{sheet}");
    assert!(name.ends_with(".txt"));
    for said in [
        "Tin Roof",
        "Key      G",
        "Tempo    120",
        "key G, 120; 1",
        "Bar   1  Slide: into the chord",
        "begins on sample 96000 (2.000 s)",
        "01:00:00",
        "A C# (+2)",
        "48000 Hz, 24 bits",
        "-16.0 LUFS",
    ] {
        assert!(sheet.contains(said), "{said}");
    }
    for file in &delivery.files {
        assert!(sheet.contains(&file.name));
        assert!(file.stem == Stem::Mix || file.peak.0 <= -6.0);
    }
}

#[test]
fn the_sheet_is_in_the_words_of_whoever_orders_it_and_the_files_are_not() {
    let mut german = order(Wishes::default());
    german.reader = Reader::of(&sample::german(), Naming::German);
    german.take_words = said!("Pass {index}, just drafted", index = 1);
    german.notes[0].words = Said::joined([Said::of("Slide in"), said!("no pedals")], ": ");
    let (delivery, archive, _) = delivered(&german);
    let mut all = files(&archive);
    let sheet = String::from_utf8(all.pop().unwrap().1).unwrap();
    for said in [
        "Tin Roof\nTonart       G\nTempo        120 Schläge in der Minute\n",
        "\nTake         Durchgang 1, gerade entworfen\n",
        "\nDateien\n-------\n",
        "    die Saiten, wie der Tonabnehmer sie hört",
        "    stereo, Spitze ",
        "bei Sample 96000 (2,000 s)",
        "48000 Hz, 24 Bit je Datei.",
        "-16,0 LUFS",
        "Chart\n-----\nkey G, 120; 1\n",
        "A Cis (+2)",
        "\nTakt   1  Hineinrutschen: keine Pedale\n",
    ] {
        assert!(sheet.contains(said), "{said}\n{sheet}");
    }
    let says = |line: &str| delivery.files.iter().any(|file| file.name == line) || line.contains("key G");
    for line in sheet.lines().filter(|line| !says(line)) {
        let english = [
            " bar", "beat", " the ", " with ", "raised", "lowered", "each", "driven", "clean", "just",
        ];
        assert!(!english.iter().any(|word| line.contains(word)), "{line}");
    }
    german.reader = Reader::default();
    let (_, archive, _) = delivered(&german);
    let english = files(&archive);
    assert_eq!(
        all,
        english[..all.len()],
        "sound says what it is in English, and files are called alike"
    );
}

#[test]
fn what_can_not_be_delivered_is_refused_in_words() {
    let refused = |order: &Order, full| {
        let mut shelf = Shelf {
            full,
            ..Shelf::default()
        };
        deliver(order, &mut shelf).expect_err("refused").to_string()
    };
    let none = order(Wishes {
        stems: Vec::new(),
        ..Wishes::default()
    });
    assert!(refused(&none, false).contains("choose at least one"));
    assert!(refused(&order(Wishes::default()), true).contains("no room"));
    let mut endless = order(Wishes::default());
    endless.brief.score.timeline.tempo.0 = 0.01;
    assert!(refused(&endless, false).contains("4 GB"));
}

#[test]
fn wishes_are_brought_to_reason() {
    let wishes = Wishes {
        stems: vec![Stem::Mix, Stem::AmpClean, Stem::Mix],
        loudness: Lufs(f64::NAN),
        ..Wishes::default()
    }
    .sane();
    assert_eq!(wishes.stems, [Stem::AmpClean, Stem::Mix]);
    assert_eq!(wishes.loudness, Lufs(-16.0));
}

#[test]
fn sizes_and_lengths_are_said_as_one_reads_them() {
    assert_eq!(size_words(900), "1 kB");
    assert_eq!(size_words(12_540_000), "12.5 MB");
    assert_eq!(size_words(1_240_000_000), "1.2 GB");
    assert_eq!(order(Wishes::default()).length_words(), "0:08");
}
