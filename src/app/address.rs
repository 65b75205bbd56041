//! Where in the page one is, as the address says it: `#/chart`, `#/learn/three-homes`.
//!
//! *Invariant:* what [`Address`] writes it reads back.

use super::desk::{Desk, View};
use std::fmt;

/// A place in the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Address {
    /// The view.
    pub view: View,
    /// The lesson that is open in it; only the course has lessons.
    pub lesson: Option<String>,
}

impl Address {
    /// Where the desk stands.
    #[must_use]
    pub fn of(desk: &Desk) -> Self {
        Self {
            view: desk.view,
            lesson: desk.lesson.clone().filter(|_| desk.view == View::Learn),
        }
    }

    /// Reads the part of an address from its `#` on; nothing where it names no view.
    ///
    /// ```
    /// use leadbar::app::address::Address;
    /// let there = Address::parse("#/learn/three-homes").unwrap();
    /// assert_eq!(there.lesson.as_deref(), Some("three-homes"));
    /// ```
    #[must_use]
    pub fn parse(hash: &str) -> Option<Self> {
        let path = hash.trim_start_matches(['#', '/']);
        let (name, rest) = path.split_once('/').unwrap_or((path, ""));
        let view = View::ALL.into_iter().find(|v| v.name().eq_ignore_ascii_case(name))?;
        let lesson = (view == View::Learn && !rest.is_empty()).then(|| rest.to_owned());
        Some(Self { view, lesson })
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#/{}", self.view.name().to_lowercase())?;
        self.lesson.iter().try_for_each(|lesson| write!(f, "/{lesson}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_view_has_an_address_that_leads_back_to_it() {
        for view in View::ALL {
            let address = Address { view, lesson: None };
            assert_eq!(Address::parse(&address.to_string()), Some(address));
        }
        let lesson = Address {
            view: View::Learn,
            lesson: Some("stairs".to_owned()),
        };
        assert_eq!(Address::parse(&lesson.to_string()), Some(lesson));
    }

    #[test]
    fn an_address_that_names_nothing_leads_nowhere() {
        for hash in ["", "#", "#/", "#/kitchen", "#/chartroom"] {
            assert_eq!(Address::parse(hash), None, "{hash}");
        }
        assert_eq!(Address::parse("#/solo/stairs").unwrap().lesson, None);
    }
}
