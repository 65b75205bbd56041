//! The audio worklet in a real browser: it renders what the engine renders, it sounds, and it is mended.
#![cfg(target_arch = "wasm32")]
#![allow(clippy::expect_used, reason = "a test says what it expects")]

#[path = "sound_support/mod.rs"]
mod sound_support;

use leadbar::platform::audio::{Audio, AudioState, Scripts, Written, voice_node};
use leadbar::sound::{Command, LiveEvent, Player, Report, SampleRate, Score};
use leadbar::theory::Beats;
use sound_support::{instrument, playing, pluck, song, string};
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use wasm_bindgen_test::{console_log, wasm_bindgen_test, wasm_bindgen_test_configure};
use web_sys::{AudioBuffer, OfflineAudioContext};

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(thread_local_v2, js_namespace = ["import", "meta"], js_name = url)]
    static GLUE: String;
}

/// Breaks the module that it runs in, as a fault of our own would.
#[wasm_bindgen]
pub fn trap() {
    core::arch::wasm32::unreachable()
}

/// The shipped scripts; only the address of the glue is the test runner's own, and an empty command is a trap.
fn scripts() -> Scripts {
    let address = |text: &str| {
        let quoted = js_sys::encode_uri_component(text);
        format!("data:text/javascript,{}", String::from(quoted))
    };
    let glue = GLUE.with(|url| url.clone());
    Scripts {
        text: address(include_str!("../static/worklet-text.js")),
        voice: address(
            &include_str!("../static/worklet.js")
                .replace("import { initSync,", "import { trap, initSync,")
                .replace("./engine.js", &glue)
                .replace(
                    "this.engine.command(given)",
                    "(given.length ? this.engine.command(given) : trap())",
                ),
        ),
        apart: false,
    }
}

fn commands() -> Vec<Command> {
    let plucks = (0..8).map(|i| pluck(f64::from(i) * 0.5, 3 + i)).collect();
    let score = Score::new(instrument(), playing(4.0, 5.0, plucks), song(1, 120.0));
    vec![Command::Load(Arc::new(score)), Command::Play { from: Beats::ZERO }]
}

#[wasm_bindgen_test]
async fn the_worklet_renders_what_the_engine_renders() {
    for rate in [44_100.0_f32, 48_000.0] {
        let frames = (rate * 2.0) as u32 / 128 * 128;
        let context = OfflineAudioContext::new_with_number_of_channels_and_length_and_sample_rate(2, frames, rate)
            .expect("an offline context");
        let written: Vec<Written> = commands()
            .iter()
            .map(|c| Written::of(c).expect("a command is writable"))
            .collect();
        let node = voice_node(&context, &scripts(), &written)
            .await
            .expect("the worklet's node");
        node.connect_with_audio_node(&context.destination()).expect("connected");
        let buffer: AudioBuffer = JsFuture::from(context.start_rendering().expect("rendering"))
            .await
            .expect("rendered")
            .unchecked_into();
        let heard = buffer.get_channel_data(0).expect("a channel");

        let mut player = Player::new(SampleRate(f64::from(rate)));
        for command in commands() {
            let text = serde_json::to_vec(&command).expect("a command is writable");
            player.command(serde_json::from_slice(&text).expect("a command is readable"));
        }
        let begin = web_sys::window().and_then(|w| w.performance()).expect("a clock");
        let (start, wanted) = (begin.now(), sound_support::run(&mut player, frames as usize));
        let spent = begin.now() - start;
        console_log!("{rate} Hz: {:.0} times real time", 2000.0 / spent);
        assert!(wanted.iter().any(|x| x.abs() > 0.01), "silent");
        let differing = heard
            .iter()
            .zip(&wanted)
            .filter(|(a, b)| a.to_bits() != b.to_bits())
            .count();
        assert_eq!(differing, 0, "of {frames}");
    }
}

async fn wait_for(what: &str, mut done: impl FnMut() -> bool) {
    for _ in 0..400 {
        if done() {
            return;
        }
        let promise = js_sys::Promise::new(&mut |ok, _| {
            let window = web_sys::window().expect("a window");
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&ok, 25);
        });
        let _ = JsFuture::from(promise).await;
    }
    panic!("waited ten seconds in vain for {what}");
}

/// Whether the node gives anything but silence at this moment.
fn loud(analyser: &web_sys::AnalyserNode) -> bool {
    let mut heard = vec![0.0; analyser.fft_size() as usize];
    analyser.get_float_time_domain_data(&mut heard);
    heard.iter().any(|x| x.abs() > 0.001)
}

fn analyser(audio: &Audio) -> web_sys::AnalyserNode {
    let node = audio.node().expect("a node");
    let analyser = node.context().create_analyser().expect("an analyser");
    node.connect_with_audio_node(&analyser).expect("connected");
    analyser
}

#[wasm_bindgen_test]
async fn starting_gives_sound_and_reports_and_an_engine_that_trapped_is_mended() {
    let (reports, states) = (Rc::new(RefCell::new(Vec::new())), Rc::new(RefCell::new(Vec::new())));
    let (r, s) = (reports.clone(), states.clone());
    let audio = Audio::with_scripts(
        scripts(),
        move |report| r.borrow_mut().push(report),
        move |state| s.borrow_mut().push(state),
    );
    for command in commands() {
        audio.send(&command);
    }
    assert_eq!(audio.start().await, AudioState::Running);
    let ear = analyser(&audio);
    wait_for("sound", || loud(&ear)).await;
    wait_for("a position", || {
        reports
            .borrow()
            .iter()
            .any(|r| matches!(r, Report::Position { at, .. } if at.0 > 0.2))
    })
    .await;

    let node = audio.node().expect("a node");
    let nothing = js_sys::Uint8Array::new_with_length(0);
    node.port().expect("a port").post_message(&nothing).expect("posted");
    wait_for("the repair", || states.borrow().contains(&AudioState::Mending)).await;
    wait_for("sound again", || {
        audio.state() == AudioState::Running && audio.node().is_some()
    })
    .await;
    let ear = analyser(&audio);
    audio.send(&Command::Live(LiveEvent::Pluck {
        string: string(4),
        strength: 0.9,
        finger: leadbar::solo::Finger::Thumb,
        touch: leadbar::solo::Touch::Plain,
    }));
    wait_for("the plucked string", || loud(&ear)).await;
}

#[wasm_bindgen_test]
async fn an_error_that_only_the_browser_saw_is_mended_too() {
    let states = Rc::new(RefCell::new(Vec::new()));
    let seen = states.clone();
    let audio = Audio::with_scripts(scripts(), |_| {}, move |state| seen.borrow_mut().push(state));
    assert_eq!(audio.start().await, AudioState::Running);
    let error = web_sys::Event::new("processorerror").expect("an event");
    let node = audio.node().expect("a node");
    node.dispatch_event(&error).expect("dispatched");
    wait_for("the repair", || states.borrow().contains(&AudioState::Mending)).await;
    wait_for("a new engine", || {
        audio.state() == AudioState::Running && audio.node().is_some()
    })
    .await;
    assert!(audio.node() != Some(node));
}

#[wasm_bindgen_test]
async fn an_interruption_stops_the_song_and_the_sound_comes_back_without_it() {
    let reports = Rc::new(RefCell::new(Vec::new()));
    let heard = reports.clone();
    let audio = Audio::with_scripts(scripts(), move |report| heard.borrow_mut().push(report), |_| {});
    for command in commands() {
        audio.send(&command);
    }
    assert_eq!(audio.start().await, AudioState::Running);
    let context: web_sys::AudioContext = audio.node().expect("a node").context().unchecked_into();
    JsFuture::from(context.suspend().expect("suspending"))
        .await
        .expect("suspended");
    wait_for("the interruption", || audio.state() == AudioState::Interrupted).await;
    JsFuture::from(context.resume().expect("resuming"))
        .await
        .expect("resumed");
    wait_for("the sound", || audio.state() == AudioState::Running).await;
    wait_for("the end of the song", || reports.borrow().contains(&Report::Ended)).await;
}
