//! The player's own attitudes: a mixture of two shipped ones under a name of the player's, kept with the work.
//!
//! *Invariant:* taking one only sets the wish; a wish carries the mixture itself, so passes, links and the planner need
//! no list of names.

use crate::solo::{Blend, Request};
use serde::{Deserialize, Serialize};

/// The longest name, in characters, and the most that are kept.
pub const LONGEST: usize = 40;
/// The most attitudes that are kept with one piece of work.
pub const MOST: usize = 40;

/// An attitude of the player's own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Attitude {
    /// What the player calls it.
    pub name: String,
    /// Id of the attitude it begins with.
    pub feel: String,
    /// The other one mixed into it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blend: Option<Blend>,
}

/// The player's own attitudes, in the order they were saved.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Attitudes(Vec<Attitude>);

impl Attitudes {
    /// All of them.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = &Attitude> {
        self.0.iter()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The one of this name.
    #[must_use]
    pub fn named(&self, name: &str) -> Option<&Attitude> {
        self.0.iter().find(|own| own.name == name)
    }

    /// The one that a request asks for, if it is one of these.
    #[must_use]
    pub fn asked(&self, request: &Request) -> Option<&Attitude> {
        self.0
            .iter()
            .find(|own| own.feel == request.feel && own.blend == request.blend)
    }

    /// Saves what a request asks for under a name; one that has the name already gives way. A name without a letter
    /// saves nothing.
    pub fn save(&mut self, name: &str, request: &Request) {
        let name = sane(name);
        if name.is_empty() {
            return;
        }
        let own = Attitude {
            name,
            feel: request.feel.clone(),
            blend: request.blend.clone(),
        };
        if let Some(old) = self.0.iter_mut().find(|old| old.name == own.name) {
            *old = own;
        } else if self.0.len() < MOST {
            self.0.push(own);
        }
    }

    /// Gives one another name, unless that is taken or empty.
    pub fn rename(&mut self, from: &str, to: &str) {
        let to = sane(to);
        if to.is_empty() || self.named(&to).is_some() {
            return;
        }
        if let Some(own) = self.0.iter_mut().find(|own| own.name == from) {
            own.name = to;
        }
    }

    /// Lets one go.
    pub fn drop_named(&mut self, name: &str) {
        self.0.retain(|own| own.name != name);
    }

    /// Those that can be believed, whoever wrote them.
    #[must_use]
    pub fn believed(self) -> Self {
        let mut believed = Self::default();
        for own in self.0 {
            let request = Request {
                feel: own.feel,
                blend: own.blend,
                ..Request::default()
            };
            if crate::exchange::trust::request(&request).is_ok() {
                believed.save(&own.name, &request);
            }
        }
        believed
    }
}

/// A name as it is kept: without the space around it, not too long.
fn sane(name: &str) -> String {
    name.trim().chars().filter(|c| !c.is_control()).take(LONGEST).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mixture(with: &str, part: f64) -> Request {
        Request {
            blend: Some(Blend {
                with: with.to_owned(),
                part,
            }),
            ..Request::default()
        }
    }

    fn names(own: &Attitudes) -> Vec<&str> {
        own.iter().map(|own| own.name.as_str()).collect()
    }

    #[test]
    fn a_saved_attitude_is_found_again_by_its_wish_and_by_its_name() {
        let mut own = Attitudes::default();
        let wish = mixture("blues", 0.25);
        own.save("  Late night  ", &wish);
        assert_eq!(own.asked(&wish), own.named("Late night"));
        assert!(own.asked(&mixture("blues", 0.5)).is_none());
    }

    #[test]
    fn the_same_name_is_saved_over_and_a_name_is_given_once() {
        let mut own = Attitudes::default();
        own.save("a", &mixture("blues", 0.25));
        own.save("b", &mixture("ballad", 0.5));
        own.save("a", &mixture("country", 0.75));
        own.rename("b", "a");
        own.rename("b", "  ");
        assert_eq!(names(&own), ["a", "b"]);
        assert_eq!(
            own.named("a").map(|a| a.blend.clone()),
            Some(mixture("country", 0.75).blend)
        );
        own.rename("b", "c");
        own.drop_named("a");
        assert_eq!(names(&own), ["c"]);
        own.save(" \u{7} ", &Request::default());
        assert_eq!(names(&own), ["c"]);
    }

    #[test]
    fn what_a_file_says_is_believed_only_where_it_can_be() {
        let text = r#"[{"name":"x","feel":"blues","blend":{"with":"ballad","part":9.0}},
            {"name":"y","feel":"blues"},{"name":"","feel":"blues"}]"#;
        let read: Attitudes = serde_json::from_str(text).unwrap();
        assert_eq!(names(&read.believed()), ["y"]);
    }
}
