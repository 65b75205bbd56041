use super::*;

const RATE: SampleRate = SampleRate(48_000.0);

const LENGTH: Length = Length {
    frames: 48_000 * 4,
    bar_one: 48_000,
};

/// A tone of its own for each take, three seconds long, with the song's beginning half a second in.
fn take(hertz: f64, rate: SampleRate) -> (Source, Vec<f32>) {
    let frames = rate.samples(Seconds(3.0)) as u64;
    let source = Source {
        rate,
        frames,
        start: Seconds(-0.5),
        from: Seconds(-0.5),
        to: Seconds(2.5),
    };
    let tone = |n: u64| (std::f64::consts::TAU * hertz * n as f64 / rate.0).sin() as f32 * 0.5;
    (source, (0..frames).map(tone).collect())
}

fn made(comp: &Comp, takes: &[Vec<f32>], block: u64) -> Vec<f32> {
    let (mut all, mut out) = (Vec::new(), Vec::new());
    let mut at = 0;
    while at < comp.length().frames {
        let block = at..(at + block).min(comp.length().frames);
        let given: Vec<Vec<f32>> = comp
            .wants(&block)
            .into_iter()
            .map(|want| takes[want.source][want.frames.start as usize..want.frames.end as usize].to_vec())
            .collect();
        comp.mix(&block, &given, &mut out);
        all.extend_from_slice(&out);
        at = block.end;
    }
    all
}

/// A line that is one take from end to end.
fn whole(source: Source, rate: SampleRate, length: Length) -> Comp {
    Comp::new(&[source], &[cut(source.from.0, Some(0))], rate, length)
}

fn cut(at: f64, source: Option<usize>) -> Cut {
    Cut {
        at: Seconds(at),
        source,
    }
}

fn steepest(samples: &[f32]) -> f32 {
    samples.windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f32::max)
}

#[test]
fn one_take_comes_through_sample_for_sample_at_its_place() {
    let (source, samples) = take(441.0, RATE);
    let made = made(&whole(source, RATE, LENGTH), std::slice::from_ref(&samples), 4096);
    assert_eq!(made.len() as u64, LENGTH.frames);
    // Half a second before bar 1, which is a second in.
    let fade = (RATE.samples(HANDOVER)) as usize;
    assert!(made[..24_000].iter().all(|x| *x == 0.0));
    assert_eq!(
        made[24_000 + fade..24_000 + 144_000 - fade],
        samples[fade..144_000 - fade]
    );
    assert!(made[24_000 + 144_000..].iter().all(|x| *x == 0.0));
}

#[test]
fn the_line_does_not_depend_on_how_it_is_cut_into_blocks() {
    let (a, b) = (take(220.0, RATE), take(330.0, SampleRate(44_100.0)));
    let cuts = [cut(0.0, Some(0)), cut(1.0, Some(1)), cut(1.5, None), cut(2.0, Some(0))];
    let comp = Comp::new(&[a.0, b.0], &cuts, RATE, LENGTH);
    let takes = [a.1, b.1];
    let at_once = made(&comp, &takes, LENGTH.frames);
    for block in [97, 4096, 32_768] {
        let parts = made(&comp, &takes, block);
        let off = at_once
            .iter()
            .zip(&parts)
            .map(|(x, y)| (x - y).abs())
            .fold(0.0, f32::max);
        assert!(off < 1e-6 && parts.len() == at_once.len(), "{block}: {off}");
    }
}

#[test]
fn a_handover_is_no_click_and_keeps_the_power() {
    let (a, b) = (take(220.0, RATE), take(331.0, RATE));
    let comp = Comp::new(&[a.0, b.0], &[cut(0.0, Some(0)), cut(1.0, Some(1))], RATE, LENGTH);
    let made = made(&comp, &[a.1.clone(), b.1.clone()], 4096);
    // The steeper tone moves 2 pi 331/48000/2 = 0.0217 a sample; two at once and a fade of 576 samples add to that.
    assert!(steepest(&made) < 0.04, "{}", steepest(&made));
    let half = (RATE.samples(HANDOVER) / 2.0) as usize;
    let line = 2 * 48_000;
    assert_eq!(made[line - half - 1], a.1[line - half - 1 - 24_000]);
    assert_eq!(made[line + half + 1], b.1[line + half + 1 - 24_000]);
    let piece = |n: usize| &comp.pieces[n];
    for n in 0..=2 * half {
        let at = (line - half + n) as f64;
        let power = piece(0).gain(at).powi(2) + piece(1).gain(at).powi(2);
        assert!((power - 1.0).abs() < 1e-5, "{n}: {power}");
    }
}

#[test]
fn the_same_take_on_both_sides_of_a_line_is_not_faded() {
    let (source, samples) = take(220.0, RATE);
    let cuts = [cut(-0.5, Some(0)), cut(0.5, Some(0)), cut(1.0, Some(0)), cut(1.5, None)];
    let made = made(
        &Comp::new(&[source], &cuts, RATE, LENGTH),
        std::slice::from_ref(&samples),
        4096,
    );
    assert_eq!(made[60_000..110_000], samples[36_000..86_000]);
    assert!(made[48_000 + 72_000 + 300..].iter().all(|x| *x == 0.0));
}

#[test]
fn an_impulse_keeps_its_moment_at_another_rate() {
    let rate = SampleRate(44_100.0);
    let (source, mut samples) = take(0.0, rate);
    // Played at the song's second 1.25: 1.75 seconds into the take.
    samples[(1.75 * rate.0) as usize] = 1.0;
    let made = made(&whole(source, RATE, LENGTH), &[samples], 4096);
    let loudest = made
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
        .map(|(n, _)| n as f64 / RATE.0 - 1.0);
    assert!((loudest.expect("there") - 1.25).abs() < 3e-5, "{loudest:?}");
}

#[test]
fn what_a_take_does_not_hold_is_silence_and_nothing_breaks() {
    let (source, samples) = take(220.0, RATE);
    let trimmed = Source {
        from: Seconds(0.75),
        to: Seconds(1.25),
        ..source
    };
    let cuts = [cut(0.0, Some(0)), cut(3.0, Some(7))];
    let made = made(
        &Comp::new(&[trimmed], &cuts, RATE, LENGTH),
        std::slice::from_ref(&samples),
        4096,
    );
    let sounding = |from: f64, to: f64| {
        let frame = |t: f64| ((1.0 + t) * 48_000.0) as usize;
        made[frame(from)..frame(to)].iter().any(|x| x.abs() > 0.01)
    };
    assert!(!sounding(-1.0, 0.75) && sounding(0.75, 1.25) && !sounding(1.25, 3.0));
    assert!(steepest(&made) < 0.03);
    let backwards = Source {
        from: Seconds(2.0),
        to: Seconds(1.0),
        ..source
    };
    assert!(whole(backwards, RATE, LENGTH).wants(&(0..LENGTH.frames)).is_empty());
}
