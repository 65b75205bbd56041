//! What the strings bear, and how to keep them.

use crate::steel::strain::{Strain, USUAL, strains};
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
            let kind = if spec.wound { "wound" } else { "plain" };
            Some(view! {
                <tr>
                    <th scope="row"><span class="soft fine">{strain.string.number()}</span>" "<b>{spec.pitch.to_string()}</b></th>
                    <td>{format!(".{:03.0} ", spec.gauge.0)}<span class="fine soft">{kind}</span></td>
                    <td>{format!("{:.0} N", strain.tension.0)}<span class="fine soft">{format!(" {:.0} lb", strain.tension.pounds())}</span></td>
                    <td>
                        {format!("{:.0}", strain.most.0)}
                        {strain.is_high().then(|| view! { <b>" high"</b> })}
                    </td>
                </tr>
            })
        };
        Some(strains(&instrument).into_iter().map(row).collect_view())
    };
    view! {
        <table class="tuning-strings">
            <caption>"What the strings bear"</caption>
            <thead>
                <tr>
                    <th scope="col">"String"</th>
                    <th scope="col">"Gauge"</th>
                    <th scope="col">"Pull"</th>
                    <th scope="col">"Stress at its highest, N/mm\u{b2}"</th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
        <p class="small soft">
            {format!("Plain steel bears the same at a pitch whatever its gauge; above {:.0} N/mm\u{b2} it breaks sooner, so keep a spare. ", USUAL.0)}
            "Choose a gauge by the highest note the pedals take the string to. Change one string at a time, slackened first, with your eyes covered; "
            "where the changer or its rods are concerned, ask someone who services steels."
        </p>
    }
}
