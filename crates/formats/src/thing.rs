//! One thing of a program as it stands in a file, reached member by member, for forms that fill it in.
//!
//! A path names members and indices from the thing on, parted by `/`: `emitters/0/peak_cd`.
//!
//! Invariant: what comes out of a thing went through the same reading as a file, so a form can enter nothing that a file could not hold.
//! Absent: whether the thing fits the rest of its program, which [`Program::apply`](lampwright_model::Program::apply) decides.

use crate::decimal;
use crate::field::{Field, Stored};
use crate::json::{self, Json, Object};
use crate::reader::Reader;
use lampwright_model::{Item, ItemId, Parts, Problem, Vehicle};
use std::borrow::Cow;

/// A thing as members by path.
#[derive(Clone, PartialEq, Debug)]
pub struct Thing(Json<'static>);

impl Thing {
    /// The members of a thing.
    #[must_use]
    pub fn of(item: &Item) -> Self {
        Self(match item {
            Item::Head(item) => item.to_json(),
            Item::Output(item) => item.to_json(),
            Item::Fuse(item) => item.to_json(),
            Item::Clock(item) => item.to_json(),
            Item::Group(item) => item.to_json(),
            Item::Pattern(item) => item.to_json(),
            Item::Signal(item) => item.to_json(),
            Item::Control(item) => item.to_json(),
            Item::Layer(item) => item.to_json(),
            Item::DimLayer(item) => item.to_json(),
            Item::Situation(item) => item.to_json(),
            Item::Guarantee(item) => item.to_json(),
        })
    }

    /// What is there once: `name`, `about`, of the `vehicle` its name, outline and supply, and what is `impossible`.
    #[must_use]
    pub fn of_title(parts: &Parts) -> Self {
        let vehicle = Vehicle {
            name: parts.vehicle.name.clone(),
            outline: parts.vehicle.outline,
            supply: parts.vehicle.supply,
            ..Vehicle::default()
        };
        let object = [
            ("name", parts.name.to_json()),
            ("about", parts.about.to_json()),
            ("vehicle", vehicle.to_file().to_json()),
            ("impossible", parts.impossible.to_json()),
        ];
        Self(Json::Object(Object::of(
            object
                .into_iter()
                .map(|(key, node)| (key.into(), node))
                .collect(),
        )))
    }

    /// A thing from the text of its members; none when that is not JSON.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        match json::parse(text) {
            (Some(tree), None) => Some(Self(owned(tree))),
            _ => None,
        }
    }

    /// The thing itself, of the same kind as `like`.
    ///
    /// # Errors
    /// The first of what is wrong.
    pub fn item(&self, like: &ItemId) -> Result<Item, Problem> {
        self.read(|node, reader| {
            Some(match like {
                ItemId::Head(_) => Item::Head(Field::read(node, reader)?),
                ItemId::Output(_) => Item::Output(Field::read(node, reader)?),
                ItemId::Fuse(_) => Item::Fuse(Field::read(node, reader)?),
                ItemId::Clock(_) => Item::Clock(Field::read(node, reader)?),
                ItemId::Group(_) => Item::Group(Field::read(node, reader)?),
                ItemId::Pattern(_) => Item::Pattern(Field::read(node, reader)?),
                ItemId::Signal(_) => Item::Signal(Field::read(node, reader)?),
                ItemId::Control(_) => Item::Control(Field::read(node, reader)?),
                ItemId::Layer(_) => Item::Layer(Field::read(node, reader)?),
                ItemId::DimLayer(_) => Item::DimLayer(Field::read(node, reader)?),
                ItemId::Situation(_) => Item::Situation(Field::read(node, reader)?),
                ItemId::Guarantee(_) => Item::Guarantee(Field::read(node, reader)?),
            })
        })
    }

    /// Name, notes, the vehicle without its lists, and what is impossible.
    ///
    /// # Errors
    /// The first of what is wrong.
    pub fn title(&self) -> Result<Parts, Problem> {
        self.read(Parts::read)
    }

    fn read<T>(
        &self,
        read: impl FnOnce(&Json<'_>, &mut Reader) -> Option<T>,
    ) -> Result<T, Problem> {
        let mut reader = Reader::default();
        let read = read(&self.0, &mut reader);
        let problem = reader.into_problems().0.into_iter().next();
        match (read, problem) {
            (Some(read), None) => Ok(read),
            (_, Some(problem)) => Err(problem),
            (None, None) => Err(Problem::new("", "a whole thing", "a part of one")),
        }
    }

    fn node(&self, path: &str) -> Option<&Json<'static>> {
        steps(path).try_fold(&self.0, |node, step| match node {
            Json::Object(object) => object.get(step),
            Json::List(items) => items.get(step.parse::<usize>().ok()?),
            _ => None,
        })
    }

    /// Whether something stands at the path.
    #[must_use]
    pub fn has(&self, path: &str) -> bool {
        self.node(path).is_some()
    }

    /// The text, the number or `true` or `false` at the path.
    #[must_use]
    pub fn word(&self, path: &str) -> Option<&str> {
        match self.node(path)? {
            Json::Text(text) | Json::Number(text) => Some(text),
            Json::Bool(is_set) => Some(if *is_set { "true" } else { "false" }),
            _ => None,
        }
    }

    /// The texts at the path: those of a list, or the one that stands alone.
    #[must_use]
    pub fn words(&self, path: &str) -> Vec<&str> {
        let node = self.node(path);
        let items = match node {
            Some(Json::List(items)) => items.as_slice(),
            Some(node) => std::slice::from_ref(node),
            None => &[],
        };
        items
            .iter()
            .filter_map(|item| match item {
                Json::Text(text) => Some(&**text),
                _ => None,
            })
            .collect()
    }

    /// How many items the list at the path has, or members the object there; 0 when there is neither.
    #[must_use]
    pub fn n_items(&self, path: &str) -> usize {
        match self.node(path) {
            Some(Json::List(items)) => items.len(),
            Some(Json::Object(object)) => object.members.len(),
            _ => 0,
        }
    }

    /// Puts a text at the path.
    pub fn set_text(&mut self, path: &str, text: &str) {
        self.put(path, Some(Json::text(text.to_owned())));
    }

    /// Puts a list of texts at the path.
    pub fn set_words(&mut self, path: &str, words: &[&str]) {
        let items = words.iter().map(|word| Json::text((*word).to_owned()));
        self.put(path, Some(Json::List(items.collect())));
    }

    /// Puts a number at the path, of which a person has typed the text; with `shift` the decimal point moves that many digits to the right.
    ///
    /// # Errors
    /// When the text is no number, or finer than `shift` decimals where there is a shift.
    pub fn set_number(&mut self, path: &str, text: &str, shift: u8) -> Result<(), String> {
        let text = text.trim().replace(',', ".");
        let Some(Self(Json::Number(mut number))) = Self::parse(&text) else {
            return Err("a number wanted, such as 0.5".into());
        };
        if shift > 0 {
            let Ok(value) = decimal::scaled(&number, shift) else {
                return Err(format!("a number with at most {shift} decimals wanted"));
            };
            number = Cow::Owned(value.to_string());
        }
        self.put(path, Some(Json::Number(number)));
        Ok(())
    }

    /// Puts a value written as JSON at the path; nothing happens when it is not JSON.
    pub fn set_json(&mut self, path: &str, text: &str) {
        if let Some(Self(value)) = Self::parse(text) {
            self.put(path, Some(value));
        }
    }

    /// Puts each member of an object written as JSON below the path.
    pub fn merge(&mut self, path: &str, text: &str) {
        if let Some(Self(Json::Object(object))) = Self::parse(text) {
            for (key, value) in object.members {
                let below = if path.is_empty() {
                    key.into_owned()
                } else {
                    format!("{path}/{key}")
                };
                self.put(&below, Some(value));
            }
        }
    }

    /// Takes away what stands at the path.
    pub fn remove(&mut self, path: &str) {
        self.put(path, None);
    }

    /// Puts a value in place of what the last step of the path names, or takes it away; an index past the end adds to a list.
    fn put(&mut self, path: &str, value: Option<Json<'static>>) {
        let mut node = &mut self.0;
        let mut steps = steps(path).peekable();
        while let Some(step) = steps.next() {
            let is_last = steps.peek().is_none();
            match node {
                Json::Object(object) => {
                    let at = object.members.iter().position(|(key, _)| key == step);
                    if is_last {
                        match (at, value) {
                            (Some(at), Some(value)) => object.members[at].1 = value,
                            (Some(at), None) => {
                                object.members.remove(at);
                            }
                            (None, Some(value)) => {
                                object.members.push((Cow::Owned(step.to_owned()), value));
                            }
                            (None, None) => {}
                        }
                        return;
                    }
                    let at = at.unwrap_or_else(|| {
                        let empty = Json::Object(Object::of(Vec::new()));
                        object.members.push((Cow::Owned(step.to_owned()), empty));
                        object.members.len() - 1
                    });
                    node = &mut object.members[at].1;
                }
                Json::List(items) => {
                    let at = step.parse().unwrap_or(usize::MAX);
                    if is_last {
                        match value {
                            Some(value) if at < items.len() => items[at] = value,
                            Some(value) => items.push(value),
                            None if at < items.len() => {
                                items.remove(at);
                            }
                            None => {}
                        }
                        return;
                    }
                    let Some(item) = items.get_mut(at) else {
                        return;
                    };
                    node = item;
                }
                _ => return,
            }
        }
    }
}

/// A number in whole units of `10^-decimals` as a person reads it.
#[must_use]
pub fn decimal_text(value: i64, decimals: u8) -> String {
    decimal::shown(value, decimals)
}

fn steps(path: &str) -> impl Iterator<Item = &str> {
    path.split('/').filter(|step| !step.is_empty())
}

/// The same tree with its texts its own.
fn owned(tree: Json<'_>) -> Json<'static> {
    match tree {
        Json::Null => Json::Null,
        Json::Bool(is_set) => Json::Bool(is_set),
        Json::Number(number) => Json::Number(Cow::Owned(number.into_owned())),
        Json::Text(text) => Json::text(text.into_owned()),
        Json::List(items) => Json::List(items.into_iter().map(owned).collect()),
        Json::Object(object) => Json::Object(Object::of(
            object
                .members
                .into_iter()
                .map(|(key, value)| (Cow::Owned(key.into_owned()), owned(value)))
                .collect(),
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lampwright_model::{Color, HeadId};

    const HEAD: &str = r#"{"id": "roof", "x_m": 1, "y_m": 0.25, "z_m": 2, "facing_deg": 0, "emitters": [{"color": "amber"}]}"#;

    fn id() -> ItemId {
        ItemId::Head(HeadId::new("roof").unwrap())
    }

    #[test]
    fn what_is_set_is_read_as_a_file_is() {
        let mut thing = Thing::parse(HEAD).unwrap();
        thing.set_number("y_m", " -0,65 ", 0).unwrap();
        thing.set_json("emitters/1", r#"{"color": "red"}"#);
        thing.set_number("emitters/1/peak_cd", "900", 0).unwrap();
        let Ok(Item::Head(head)) = thing.item(&id()) else {
            panic!("a head wanted");
        };
        assert_eq!(head.y.0, -650);
        assert_eq!(head.emitter(Color::Red).unwrap().peak.unwrap().0, 900_000);
        assert_eq!(Thing::of(&Item::Head(head)).word("y_m"), Some("-0.65"));
    }

    #[test]
    fn what_a_file_cannot_hold_is_refused_by_path() {
        let mut thing = Thing::parse(HEAD).unwrap();
        thing.set_number("y_m", "0.1234", 0).unwrap();
        assert_eq!(
            thing.item(&id()).unwrap_err().to_string(),
            "y_m: found 0.1234, expected a number with at most 3 decimals"
        );
        assert!(thing.set_number("y_m", "left", 0).is_err());
        thing.remove("y_m");
        assert_eq!(
            thing.item(&id()).unwrap_err().to_string(),
            "y_m: found nothing, expected this key, which is required"
        );
    }

    #[test]
    fn lists_and_members_are_added_and_taken_away() {
        let mut thing = Thing::parse(r#"{"when": [{"gear.lamp": "on"}]}"#).unwrap();
        assert_eq!(thing.words("when/0/gear.lamp"), ["on"]);
        thing.set_words("when/0/gear.lamp", &["on", "off"]);
        thing.set_json("when/9", "{}");
        assert_eq!(thing.n_items("when"), 2);
        thing.remove("when/0");
        assert_eq!(thing.n_items("when"), 1);
        thing.merge("when/0", r#"{"door": "open"}"#);
        assert_eq!(thing.word("when/0/door"), Some("open"));
        thing.set_text("hold/color", "red");
        assert!(thing.has("hold"));
    }

    #[test]
    fn percent_is_a_shifted_per_mille() {
        let mut thing = Thing::parse("{}").unwrap();
        thing.set_number("factor", "12.5", 1).unwrap();
        assert_eq!(thing.word("factor"), Some("125"));
        assert!(thing.set_number("factor", "12.55", 1).is_err());
    }

    #[test]
    fn a_title_holds_the_vehicle_without_its_lists() {
        let parts = Parts {
            name: "Convoy".into(),
            ..Parts::default()
        };
        let mut thing = Thing::of_title(&parts);
        assert_eq!(thing.word("name"), Some("Convoy"));
        thing
            .set_number("vehicle/outline/length_m", "6.5", 0)
            .unwrap();
        assert_eq!(thing.title().unwrap().vehicle.outline.length.0, 6500);
    }
}
