//! The beats of two strings, counted.

use super::dial::Tone;
use super::{Manner, Tuner, chosen};
use crate::app::tuner::Pair;
use crate::sound::SampleRate;
use crate::ui::language::{notes, number};
use leptos::prelude::*;

/// Beats this much apart are told apart by nobody who tunes.
const SAME: f64 = 0.3;

/// What is heard of two strings.
#[component]
pub(super) fn Beats(tuner: Tuner) -> impl IntoView {
    let two = Memo::new(move |_| {
        debug_assert_eq!(tuner.manner.get_untracked(), Manner::Two);
        tuner.two.with(|two| tuner.targets.with(|targets| chosen(targets, two)))
    });
    // How fast they should beat does not hang on the rate they are heard at.
    let meant = Memo::new(move |_| {
        two.with(|two| Pair::new(SampleRate(48_000.0), &two.as_ref()?.0, &two.as_ref()?.1))
            .map(|pair| pair.meant())
    });
    let heard = move || tuner.pair.with(|p| p.and_then(|p| p.heard));
    let names = move || {
        two.with(|two| {
            let (one, other) = two.as_ref()?;
            Some(say!(
                "{note} and {other}, strings {string} and {other_string}",
                note = notes(&one.note),
                other = notes(&other.note),
                string = one.string,
                other_string = other.string
            ))
        })
    };
    let words = move || match (two.with(Option::is_some), meant.get(), heard()) {
        (false, ..) => say!("Choose two strings").to_owned(),
        (true, None, _) => say!("These two share no partial: they do not beat").to_owned(),
        (true, Some(_), _) if !tuner.ears.is_on() => say!("Press Listen and pick both").to_owned(),
        (true, Some(_), None) if tuner.pair.with(|p| p.is_some_and(|p| p.sounds)) => {
            say!("Counting: let them ring").to_owned()
        }
        (true, Some(_), None) => say!("Pick both and let them ring").to_owned(),
        (true, Some(meant), Some(heard)) if (heard.rate.0 - meant.0).abs() <= SAME => say!("As they should").to_owned(),
        (true, Some(meant), Some(heard)) if heard.rate.0 > meant.0 => say!("Too fast").to_owned(),
        _ => say!("Too slow").to_owned(),
    };
    view! {
        <div class="dial">
            <p class="dial-pair">{names}</p>
            <p class="dial-cents">
                <b class:nothing=move || heard().is_none()>{move || heard().map_or("–".to_owned(), |beat| number(format!("{:.1}", beat.rate.0)))}</b>
                <span class="soft">{say!("beats a second")}</span>
            </p>
            <p class="dial-words" role="status"><span>{words}</span></p>
            <p class="small soft dial-target">
                {move || meant.get().map(|rate| say!("Meant in this tuning: {rate} a second", rate = number(format!("{:.1}", rate.0))))}
            </p>
            <Tone tuner=tuner />
        </div>
    }
}
