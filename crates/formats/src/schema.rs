//! JSON Schema of the files, made from the same declarations that read and write them.
//!
//! Invariant: the same types give the same text; what the schema refuses by itself the reader refuses too, but references between parts are checked by the reader alone.

use crate::field::Field;
use crate::header::Kind;
use crate::json::{Json, Object, print};

/// Named objects, in the order of first use.
#[derive(Debug, Default)]
pub(crate) struct Definitions {
    list: Vec<(String, Json<'static>)>,
}

/// One member of an object.
pub(crate) struct Member {
    pub(crate) key: &'static str,
    /// The comment of its declaration.
    pub(crate) about: &'static str,
    pub(crate) is_required: bool,
    pub(crate) schema: Json<'static>,
}

impl Definitions {
    /// A reference to the object of a type's name, defined at its first use.
    pub(crate) fn object(
        &mut self,
        type_name: &str,
        about: &'static str,
        list_members: impl FnOnce(&mut Self) -> Vec<Member>,
        choices: &[&'static str],
    ) -> Json<'static> {
        let name = type_name.strip_suffix("File").unwrap_or(type_name);
        if !self.list.iter().any(|(known, _)| known == name) {
            let list = list_members(self);
            let schema = object_schema(about, list, choices);
            self.list.push((name.to_owned(), schema));
        }
        members(vec![("$ref", Json::text(format!("#/$defs/{name}")))])
    }
}

/// An object of a few members.
pub(crate) fn members(list: Vec<(&'static str, Json<'static>)>) -> Json<'static> {
    Json::Object(Object::of(
        list.into_iter()
            .map(|(key, value)| (key.into(), value))
            .collect(),
    ))
}

/// A choice of words.
pub(crate) fn words(list: &[&'static str]) -> Json<'static> {
    members(vec![(
        "enum",
        Json::List(list.iter().copied().map(Json::text).collect()),
    )])
}

/// The schema of a whole file whose content, beside its header, is `T`.
pub(crate) fn of_file<T: Field>(kind: &Kind) -> String {
    let mut definitions = Definitions::default();
    let _reference = T::schema(&mut definitions);
    let Some((_, Json::Object(mut root))) = definitions.list.pop() else {
        return String::new();
    };
    for (key, value) in &mut root.members {
        if let ("properties", Json::Object(properties)) = (key.as_ref(), &mut *value) {
            let header = [
                (
                    "format".into(),
                    members(vec![("const", Json::text(kind.format))]),
                ),
                (
                    "version".into(),
                    members(vec![("const", Json::number(kind.version()))]),
                ),
            ];
            properties.members.splice(0..0, header);
        } else if let ("required", Json::List(required)) = (key.as_ref(), value) {
            required.splice(0..0, [Json::text("format"), Json::text("version")]);
        }
    }
    let mut schema = vec![
        (
            "$schema".into(),
            Json::text("https://json-schema.org/draft/2020-12/schema"),
        ),
        ("title".into(), Json::text(kind.format)),
    ];
    schema.append(&mut root.members);
    let list = definitions
        .list
        .into_iter()
        .map(|(name, schema)| (name.into(), schema))
        .collect();
    schema.push(("$defs".into(), Json::Object(Object::of(list))));
    print(&Json::Object(Object::of(schema)))
}

fn object_schema(
    about: &'static str,
    list: Vec<Member>,
    choices: &[&'static str],
) -> Json<'static> {
    let required = list
        .iter()
        .filter(|member| member.is_required)
        .map(|member| Json::text(member.key))
        .collect();
    let properties = list
        .into_iter()
        .map(|member| {
            let mut schema = vec![("description".into(), Json::text(member.about.trim()))];
            if let Json::Object(object) = member.schema {
                schema.extend(object.members);
            }
            (member.key.into(), Json::Object(Object::of(schema)))
        })
        .collect();
    let mut schema = vec![
        ("description", Json::text(about.trim())),
        ("type", Json::text("object")),
        ("properties", Json::Object(Object::of(properties))),
        ("required", Json::List(required)),
        ("additionalProperties", Json::Bool(false)),
    ];
    if !choices.is_empty() {
        let alternatives = choices
            .iter()
            .map(|choice| members(vec![("required", Json::List(vec![Json::text(*choice)]))]))
            .collect();
        schema.push(("oneOf", Json::List(alternatives)));
    }
    members(schema)
}
