//! What the strings bear, and how to keep them.

use crate::steel::strain::{Strain, Suggestion, USUAL, strains, suggested};
use crate::ui::language::notes;
use crate::ui::state::Page;
use leptos::prelude::*;

/// Tension and stress by string.
#[component]
pub(super) fn Strings() -> impl IntoView {
    let page = Page::here();
    let rows = move || {
        let instrument = page.instrument.get()?;
        let row = |strain: Strain| {
            let spec = instrument.strings.get(strain.string.index())?;
            let thick = |gauge: f64, wound: bool| {
                let kind = if wound { say!("wound") } else { say!("plain") };
                view! { {format!(".{gauge:03.0} ")}<span class="fine soft">{kind}</span> }
            };
            let Suggestion { gauge, wound, .. } = suggested(instrument.scale_length, strain.highest);
            Some(view! {
                <tr>
                    <th scope="row"><span class="soft fine">{strain.string.number()}</span>" "<b>{notes(spec.pitch)}</b></th>
                    <td>{thick(spec.gauge.0, spec.wound)}</td>
                    <td>{thick(gauge.0, wound)}</td>
                    <td>{format!("{:.0} N", strain.tension.0)}<span class="fine soft">{say!(" {pounds} lb", pounds = format!("{:.0}", strain.tension.pounds()))}</span></td>
                    <td>
                        {format!("{:.0}", strain.most.0)}
                        {strain.is_high().then(|| view! { <b>{say!(" high")}</b> })}
                    </td>
                </tr>
            })
        };
        Some(strains(&instrument).into_iter().map(row).collect_view())
    };
    view! {
        <table class="tuning-strings">
            <caption>{say!("What the strings bear")}</caption>
            <thead>
                <tr>
                    <th scope="col">{say!("String")}</th>
                    <th scope="col">{say!("Gauge")}</th>
                    <th scope="col">{say!("By its highest")}</th>
                    <th scope="col">{say!("Pull")}</th>
                    <th scope="col">{say!("Stress at its highest, N/mm\u{b2}")}</th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
        <p class="small soft">
            {say!("Plain steel bears the same at a pitch whatever its gauge; above {usual} N/mm\u{b2} it breaks sooner, so keep a spare. ", usual = format!("{:.0}", USUAL.0))}
            {say!("Choose a gauge by the highest note the pedals take the string to; what is named for it pulls about as hard as plain strings usually do, and wound ones are often taken thicker for their tone.")}
        </p>
        <h3>{say!("Changing strings")}</h3>
        <ul class="small">
            <li>{say!("When: as soon as one is dull, notched where the bar or the changer touches it, rusty, or will not come back in tune after a pedal. The highest wear first.")}</li>
            <li>{say!("Order: one string at a time, so that the pull on the body stays nearly the same; then the next beside it. Slacken the old one wholly before you take it off.")}</li>
            <li>{say!("Eyes: wear glasses, keep your face out of the strings' line, and hold the loose end. A high string that is raised far can break at any time.")}</li>
            <li>{say!("Afterwards: press every pedal and lever some times, tune open strings first, then the changes. Where the changer or its rods are concerned, ask someone who services steels.")}</li>
        </ul>
    }
}
