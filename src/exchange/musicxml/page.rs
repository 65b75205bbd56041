//! XML elements written one after the other.

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// An XML text that grows. Writing into memory never fails, so nothing here does.
pub(super) struct Page(Writer<Vec<u8>>);

impl Page {
    /// The head of a MusicXML 4.0 score by parts.
    pub(super) fn score() -> Self {
        let mut page = Self(Writer::new_with_indent(Vec::new(), b' ', 1));
        page.event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), Some("no"))));
        page.event(Event::DocType(BytesText::from_escaped(
            "score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
             \"http://www.musicxml.org/dtds/partwise.dtd\"",
        )));
        page
    }

    /// An element around what `inside` writes.
    pub(super) fn within(&mut self, name: &str, attributes: &[(&str, &str)], inside: impl FnOnce(&mut Self)) {
        self.event(Event::Start(
            BytesStart::new(name).with_attributes(attributes.iter().copied()),
        ));
        inside(self);
        self.event(Event::End(BytesEnd::new(name)));
    }

    /// An element around a text.
    pub(super) fn text(&mut self, name: &str, text: impl ToString) {
        self.text_with(name, &[], text);
    }

    /// An element with attributes around a text.
    pub(super) fn text_with(&mut self, name: &str, attributes: &[(&str, &str)], text: impl ToString) {
        let text = text.to_string();
        self.within(name, attributes, |page| page.event(Event::Text(BytesText::new(&text))));
    }

    /// An element with nothing inside.
    pub(super) fn empty(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.event(Event::Empty(
            BytesStart::new(name).with_attributes(attributes.iter().copied()),
        ));
    }

    pub(super) fn finish(self) -> String {
        String::from_utf8(self.0.into_inner()).unwrap_or_default() + "\n"
    }

    fn event(&mut self, event: Event<'_>) {
        // Only a full disk or a closed pipe could fail; this is memory.
        drop(self.0.write_event(event));
    }
}
