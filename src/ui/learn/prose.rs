//! A lesson's text as elements. Words are set as words: nothing of a lesson file becomes markup.

use super::chart::ChartLive;
use super::neck::NeckLive;
use super::pass::PassLive;
use crate::teach::Live;
use crate::teach::lesson::{Block, Span};
use leptos::prelude::*;

/// Blocks in order.
pub(super) fn blocks(blocks: &[Block]) -> AnyView {
    blocks.iter().map(block).collect_view().into_any()
}

/// The blocks before the section that holds the exercises, and those after it.
pub(super) fn around_exercises(blocks: &[Block]) -> (Vec<Block>, Vec<Block>) {
    let asks = |b: &Block| matches!(b, Block::Live(live) if matches!(**live, Live::Exercise(_)));
    let first = blocks.iter().position(asks).unwrap_or(blocks.len());
    let after = blocks.iter().rposition(asks).map_or(blocks.len(), |last| last + 1);
    let heads = |b: &Block| matches!(b, Block::Heading(..));
    let before = blocks.get(..first).unwrap_or_default();
    // The section has its own heading in the page.
    let before = before
        .split_last()
        .filter(|(last, _)| heads(last))
        .map_or(before, |(_, rest)| rest);
    (before.to_vec(), blocks.get(after..).unwrap_or_default().to_vec())
}

fn block(block: &Block) -> AnyView {
    match block {
        Block::Heading(2, words) => view! { <h2>{spans(words)}</h2> }.into_any(),
        Block::Heading(_, words) => view! { <h3>{spans(words)}</h3> }.into_any(),
        Block::Paragraph(words) => view! { <p>{spans(words)}</p> }.into_any(),
        Block::List(None, items) => view! { <ul class="dotted">{list(items)}</ul> }.into_any(),
        Block::List(Some(first), items) => view! { <ol class="numbered" start=*first>{list(items)}</ol> }.into_any(),
        Block::Table(head, rows) => table(head, rows),
        Block::Aside(inner) => view! { <div class="hint">{blocks(inner)}</div> }.into_any(),
        Block::Plain(text) => view! { <pre tabindex="0">{text.clone()}</pre> }.into_any(),
        Block::Live(live) => alive(live),
    }
}

fn list(items: &[Vec<Block>]) -> impl IntoView + use<> {
    let item = |item: &Vec<Block>| view! { <li>{blocks(item)}</li> };
    items.iter().map(item).collect_view()
}

fn table(head: &[Vec<Span>], rows: &[Vec<Vec<Span>>]) -> AnyView {
    let heads = head
        .iter()
        .map(|c| view! { <th scope="col">{spans(c)}</th> })
        .collect_view();
    let row = |row: &Vec<Vec<Span>>| {
        let cells = row.iter().map(|c| view! { <td>{spans(c)}</td> }).collect_view();
        view! { <tr>{cells}</tr> }
    };
    view! {
        <div class="table" tabindex="0" role="region" aria-label=say!("Table")>
            <table>
                <thead>
                    <tr>{heads}</tr>
                </thead>
                <tbody>{rows.iter().map(row).collect_view()}</tbody>
            </table>
        </div>
    }
    .into_any()
}

fn spans(words: &[Span]) -> AnyView {
    words.iter().map(span).collect_view().into_any()
}

fn span(span: &Span) -> AnyView {
    match span {
        Span::Text(text) => text.clone().into_any(),
        Span::Emphasis(inner) => view! { <em>{spans(inner)}</em> }.into_any(),
        Span::Strong(inner) => view! { <strong>{spans(inner)}</strong> }.into_any(),
        Span::Code(text) => view! { <code>{text.clone()}</code> }.into_any(),
        Span::Lesson { id, words } => view! { <a href=format!("#/learn/{id}")>{spans(words)}</a> }.into_any(),
        Span::Break => view! { <br /> }.into_any(),
    }
}

fn alive(live: &Live) -> AnyView {
    match live.clone() {
        Live::Chart(block) => view! { <ChartLive block /> }.into_any(),
        Live::Neck(block) => view! { <NeckLive block /> }.into_any(),
        Live::Pass(block) => view! { <PassLive block /> }.into_any(),
        Live::Exercise(_) => ().into_any(),
    }
}
