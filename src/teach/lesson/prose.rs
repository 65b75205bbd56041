//! A lesson's text: Markdown brought down to what a lesson shows.
//!
//! *Invariant:* nothing of the source reaches a page as markup; raw HTML is a fault, not text.

use super::live::{self, Live};
use crate::teach::document::{Said, line_of};
use crate::teach::fault::FaultKind;
use pulldown_cmark::{CodeBlockKind, Event, HeadingLevel, OffsetIter, Options, Parser, Tag, TagEnd};
use std::iter::Peekable;
use std::ops::Range;

/// A piece of running text.
#[derive(Debug, Clone, PartialEq)]
pub enum Span {
    /// Plain words.
    Text(String),
    /// *Stressed.*
    Emphasis(Vec<Span>),
    /// **Strong.**
    Strong(Vec<Span>),
    /// Something to be typed or read letter by letter: a chord, a number, a grip.
    Code(String),
    /// A link to another lesson.
    Lesson {
        /// The id of the lesson.
        id: String,
        /// The words of the link.
        words: Vec<Span>,
    },
    /// A new line within a paragraph.
    Break,
}

/// A piece of a lesson.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading; 2 is the highest within a lesson. One of level 1 repeats the title and is left out.
    Heading(u8, Vec<Span>),
    /// A paragraph.
    Paragraph(Vec<Span>),
    /// A list; numbered from the given number, or with bullets.
    List(Option<u64>, Vec<Vec<Block>>),
    /// A table: its head, and its rows.
    Table(Vec<Vec<Span>>, Vec<Vec<Vec<Span>>>),
    /// Something set apart, such as a caution.
    Aside(Vec<Block>),
    /// Text with its columns kept, such as a tab.
    Plain(String),
    /// Something that can be seen, heard or tried.
    Live(Box<Live>),
}

/// Reads Markdown that begins at `first_line` of its file.
pub(super) fn parse(text: &str, first_line: usize, skills: &[String], said: &mut Said) -> Vec<Block> {
    let mut reader = Reader {
        text,
        first_line,
        skills,
        said,
        events: Parser::new_ext(text, Options::ENABLE_TABLES)
            .into_offset_iter()
            .peekable(),
    };
    reader.blocks(None)
}

struct Reader<'t, 's> {
    text: &'t str,
    first_line: usize,
    skills: &'s [String],
    said: &'s mut Said,
    events: Peekable<OffsetIter<'t>>,
}

impl<'t> Reader<'t, '_> {
    fn line(&self, at: &Range<usize>) -> usize {
        self.first_line + line_of(self.text, at.start)
    }

    fn fault(&mut self, at: &Range<usize>, kind: FaultKind) {
        let line = self.line(at);
        self.said.fault(line, kind);
    }

    /// Blocks up to the end of the block they are in.
    fn blocks(&mut self, end: Option<TagEnd>) -> Vec<Block> {
        let mut blocks = Vec::new();
        while let Some((event, at)) = self.events.peek().cloned() {
            match event {
                Event::End(tag) if Some(tag) == end => {
                    self.events.next();
                    break;
                }
                Event::Start(tag) if starts_block(&tag) => {
                    self.events.next();
                    blocks.extend(self.block(tag, &at));
                }
                Event::Rule | Event::End(_) => {
                    self.events.next();
                }
                // Words straight in a list item: a paragraph without its marks.
                _ => blocks.push(Block::Paragraph(self.spans(None))),
            }
        }
        blocks
    }

    fn block(&mut self, tag: Tag<'t>, at: &Range<usize>) -> Option<Block> {
        let end = tag.to_end();
        Some(match tag {
            Tag::Paragraph => Block::Paragraph(self.spans(Some(end))),
            // The title again, for who reads the file by itself; the page has it from the head.
            Tag::Heading {
                level: HeadingLevel::H1,
                ..
            } => {
                self.skip(end);
                return None;
            }
            Tag::Heading { level, .. } => Block::Heading(level as u8, self.spans(Some(end))),
            Tag::BlockQuote(_) => Block::Aside(self.blocks(Some(end))),
            Tag::List(first) => Block::List(first, self.items(end)),
            Tag::Table(_) => self.table(end),
            Tag::CodeBlock(kind) => return self.code(&kind, end, at),
            _ => {
                self.skip(end);
                self.fault(at, FaultKind::Markup("HTML"));
                return None;
            }
        })
    }

    fn items(&mut self, end: TagEnd) -> Vec<Vec<Block>> {
        let mut items = Vec::new();
        while let Some((event, _)) = self.events.next() {
            match event {
                Event::Start(Tag::Item) => items.push(self.blocks(Some(TagEnd::Item))),
                Event::End(tag) if tag == end => break,
                _ => {}
            }
        }
        items
    }

    fn table(&mut self, end: TagEnd) -> Block {
        let (mut head, mut rows, mut row) = (Vec::new(), Vec::new(), Vec::new());
        while let Some((event, _)) = self.events.next() {
            match event {
                Event::Start(Tag::TableCell) => row.push(self.spans(Some(TagEnd::TableCell))),
                Event::End(TagEnd::TableHead) => head = std::mem::take(&mut row),
                Event::End(TagEnd::TableRow) => rows.push(std::mem::take(&mut row)),
                Event::End(tag) if tag == end => break,
                _ => {}
            }
        }
        Block::Table(head, rows)
    }

    fn code(&mut self, kind: &CodeBlockKind<'_>, end: TagEnd, at: &Range<usize>) -> Option<Block> {
        let mut first = None;
        let mut text = String::new();
        for (event, place) in self.events.by_ref() {
            match event {
                Event::Text(piece) => {
                    first.get_or_insert(place);
                    text.push_str(&piece);
                }
                Event::End(tag) if tag == end => break,
                _ => {}
            }
        }
        let word = match kind {
            CodeBlockKind::Fenced(word) => word.trim(),
            CodeBlockKind::Indented => "",
        };
        if word.is_empty() {
            return Some(Block::Plain(text));
        }
        let line = self.line(&first.unwrap_or_else(|| at.clone()));
        let live = live::parse(word, &text, line, self.skills, self.said)?;
        Some(Block::Live(Box::new(live)))
    }

    /// Running text, up to the end of the block it is in, or to the next block where it has none of its own.
    fn spans(&mut self, end: Option<TagEnd>) -> Vec<Span> {
        let mut spans: Vec<Span> = Vec::new();
        while let Some((event, at)) = self.events.peek().cloned() {
            if end.is_none() && (matches!(event, Event::End(_)) || matches!(&event, Event::Start(t) if starts_block(t)))
            {
                break;
            }
            self.events.next();
            match event {
                Event::End(tag) if Some(tag) == end => break,
                Event::Text(text) => push_text(&mut spans, &text),
                Event::SoftBreak => push_text(&mut spans, " "),
                Event::HardBreak => spans.push(Span::Break),
                Event::Code(code) => spans.push(Span::Code(code.into_string())),
                Event::Start(tag) => spans.extend(self.inline(&tag, &at)),
                Event::Html(_) | Event::InlineHtml(_) => self.fault(&at, FaultKind::Markup("HTML")),
                _ => {}
            }
        }
        spans
    }

    fn inline(&mut self, tag: &Tag<'t>, at: &Range<usize>) -> Option<Span> {
        let words = self.spans(Some(tag.to_end()));
        match tag {
            Tag::Emphasis => Some(Span::Emphasis(words)),
            Tag::Strong => Some(Span::Strong(words)),
            Tag::Link { dest_url, .. } => {
                let id = lesson_of(dest_url);
                if id.is_none() {
                    self.fault(at, FaultKind::Link(dest_url.to_string()));
                }
                id.map(|id| Span::Lesson { id, words })
            }
            _ => {
                self.fault(at, FaultKind::Markup("a picture"));
                None
            }
        }
    }

    fn skip(&mut self, end: TagEnd) {
        for (event, _) in self.events.by_ref() {
            if event == Event::End(end) {
                break;
            }
        }
    }
}

/// Whether a tag is a block of its own rather than part of running text.
fn starts_block(tag: &Tag<'_>) -> bool {
    !matches!(
        tag,
        Tag::Emphasis | Tag::Strong | Tag::Strikethrough | Tag::Link { .. } | Tag::Image { .. }
    )
}

fn push_text(spans: &mut Vec<Span>, text: &str) {
    match spans.last_mut() {
        Some(Span::Text(last)) => last.push_str(text),
        _ => spans.push(Span::Text(text.to_owned())),
    }
}

/// The id of the lesson whose file a link names.
fn lesson_of(link: &str) -> Option<String> {
    let file = link.rsplit('/').next()?.strip_suffix(".md")?;
    super::after_number(file).map(str::to_owned)
}
