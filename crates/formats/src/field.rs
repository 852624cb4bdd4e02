//! What a value of a file is: how it is read, written and described in the schema, stated once.
//!
//! [`object!`](crate::field::object) makes a file object from a struct declaration; its member names, comments and types are the only source of the known keys, the written text and the schema.

mod text;

pub use text::MOST_LETTERS;
pub(crate) use text::{Notes, Words};

use crate::decimal::{self, DecimalFault};
use crate::json::{Json, Object};
use crate::reader::Reader;
use crate::schema::{Definitions, members};
use lampwright_model::{
    BadId, ClockId, ControlId, FuseId, GroupId, GuaranteeId, HeadId, LayerId, Milliamps,
    Millicandela, Millidegrees, Millimeters, Millivolts, OutputId, PatternId, RoleId, SignalId,
    SituationId, ValueId,
};
use lampwright_timing::{Level, MAX_COMMON_PERIOD, Micros};

/// A value that stands in a file.
pub(crate) trait Field: Sized {
    /// Most of them in one list.
    const MOST: usize = 1024;

    /// Whether a list goes on without one that is wrong, as a program does.
    const IS_CUT: bool = false;

    /// The value of a node; none after something wrong was reported or the text broke off.
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self>;

    /// What an absent member stands for; none when the member is required.
    fn absent() -> Option<Self> {
        None
    }

    /// Whether the member is left out when written.
    fn is_omitted(&self) -> bool {
        false
    }

    /// The node of the value.
    fn to_json(&self) -> Json<'static>;

    /// JSON Schema of the value.
    fn schema(definitions: &mut Definitions) -> Json<'static>;
}

/// A type of the model together with the file value it is converted from and to.
pub(crate) trait Stored: Sized {
    /// What stands in the file.
    type File: Field;

    /// Most of them in one list.
    const MOST: usize = 1024;

    /// Whether a list goes on without one that is wrong.
    const IS_CUT: bool = false;

    /// The model's value; none after a problem was reported.
    fn from_file(file: Self::File, reader: &mut Reader) -> Option<Self>;

    /// The file's value.
    fn to_file(&self) -> Self::File;
}

impl<T: Stored> Field for T {
    const MOST: usize = <T as Stored>::MOST;
    const IS_CUT: bool = <T as Stored>::IS_CUT;

    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        let file = T::File::read(node, reader)?;
        T::from_file(file, reader)
    }

    fn to_json(&self) -> Json<'static> {
        self.to_file().to_json()
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        T::File::schema(definitions)
    }
}

/// A member while it is read: one table walks them all, so that a further member costs no code of its own.
pub(crate) trait Slot {
    /// Reads the member; false after something wrong was reported or the text broke off.
    fn read(&mut self, node: &Json<'_>, reader: &mut Reader) -> bool;

    /// Takes what an absent member stands for; false when the member is required.
    fn take_absent(&mut self) -> bool;
}

impl<T: Field> Slot for Option<T> {
    fn read(&mut self, node: &Json<'_>, reader: &mut Reader) -> bool {
        *self = T::read(node, reader);
        self.is_some()
    }

    fn take_absent(&mut self) -> bool {
        *self = T::absent();
        self.is_some()
    }
}

/// A member while it is written.
pub(crate) trait Written {
    /// Its node; none when it is left out.
    fn written(&self) -> Option<Json<'static>>;
}

impl<T: Field> Written for T {
    fn written(&self) -> Option<Json<'static>> {
        (!self.is_omitted()).then(|| self.to_json())
    }
}

/// The object of some members without those that are left out.
pub(crate) fn written(members: &[(&'static str, &dyn Written)]) -> Json<'static> {
    let mut kept = Vec::new();
    for (key, member) in members {
        if let Some(node) = member.written() {
            kept.push(((*key).into(), node));
        }
    }
    Json::Object(Object::of(kept))
}

/// Declares an object of the file from its members.
///
/// The mode says what becomes of the object when a member is wrong, see [`Mode`](crate::reader::Mode); `one of [...]` lists members of which exactly one must stand.
macro_rules! object {
    (
        $(#[doc = $doc:literal])+
        $mode:ident struct $name:ident $(one of [$($choice:literal),+])? {
            $($(#[doc = $member_doc:literal])+ $key:literal $member:ident: $type:ty,)+
        }
    ) => {
        $(#[doc = $doc])+
        #[derive(Clone, Debug)]
        pub(crate) struct $name {
            $($(#[doc = $member_doc])+ pub(crate) $member: $type,)+
        }

        impl $crate::field::Field for $name {
            fn read(
                node: &$crate::json::Json<'_>,
                reader: &mut $crate::reader::Reader,
            ) -> Option<Self> {
                let mode = $crate::reader::Mode::$mode;
                let object = reader.object(node, &[$($key),+])?;
                $(let mut $member: Option<$type> = None;)+
                reader.members(object, mode, &mut [$(($key, &mut $member)),+]);
                if !object.is_complete && mode != $crate::reader::Mode::Whole {
                    return None;
                }
                $($crate::field::has_one_of(object, &[$($choice),+], reader)?;)?
                // All are looked at before any is moved, so that giving up has one way out.
                let ($(Some($member),)+) = ($($member,)+) else {
                    return None;
                };
                Some(Self { $($member,)+ })
            }

            fn to_json(&self) -> $crate::json::Json<'static> {
                $crate::field::written(&[$(($key, &self.$member)),+])
            }

            fn schema(
                definitions: &mut $crate::schema::Definitions,
            ) -> $crate::json::Json<'static> {
                definitions.object(
                    stringify!($name),
                    concat!($($doc),+),
                    |definitions| vec![$($crate::schema::Member {
                        key: $key,
                        about: concat!($($member_doc),+),
                        is_required: <$type as $crate::field::Field>::absent().is_none(),
                        schema: <$type as $crate::field::Field>::schema(definitions),
                    }),+],
                    &[$($($choice),+)?],
                )
            }
        }
    };
}

/// Declares that values of an enum stand in the file as these words.
macro_rules! words {
    ($type:ty { $($word:literal = $value:path,)+ }) => {
        impl $crate::field::Field for $type {
            fn read(
                node: &$crate::json::Json<'_>,
                reader: &mut $crate::reader::Reader,
            ) -> Option<Self> {
                const EXPECTED: &str = concat!("one of", $(" ", $word),+);
                let index = reader.word(node, EXPECTED, &[$($word),+])?;
                [$($value),+].into_iter().nth(index)
            }

            fn to_json(&self) -> $crate::json::Json<'static> {
                $crate::json::Json::text(match self {
                    $($value => $word,)+
                })
            }

            fn schema(_: &mut $crate::schema::Definitions) -> $crate::json::Json<'static> {
                $crate::schema::words(&[$($word),+])
            }
        }
    };
}

pub(crate) use {object, words};

/// Whether exactly one of the members stands in the object.
pub(crate) fn has_one_of(object: &Object<'_>, keys: &[&str], reader: &mut Reader) -> Option<()> {
    let found: Vec<&str> = keys
        .iter()
        .copied()
        .filter(|key| object.get(key).is_some())
        .collect();
    if found.len() == 1 {
        return Some(());
    }
    let shown = if found.is_empty() {
        "none of them".to_owned()
    } else {
        found.join(" and ")
    };
    reader.report(format!("exactly one of {}", keys.join(", ")), shown);
    None
}

impl Field for String {
    const IS_CUT: bool = true;

    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        reader.text(node, "a text").map(str::to_owned)
    }

    fn to_json(&self) -> Json<'static> {
        Json::text(self.clone())
    }

    fn schema(_: &mut Definitions) -> Json<'static> {
        members(vec![("type", Json::text("string"))])
    }
}

impl Field for bool {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        if let Json::Bool(value) = node {
            Some(*value)
        } else {
            reader.mismatch("true or false", node);
            None
        }
    }

    fn to_json(&self) -> Json<'static> {
        Json::Bool(*self)
    }

    fn schema(_: &mut Definitions) -> Json<'static> {
        members(vec![("type", Json::text("boolean"))])
    }
}

impl<T: Field> Field for Option<T> {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        T::read(node, reader).map(Some)
    }

    fn absent() -> Option<Self> {
        Some(None)
    }

    fn is_omitted(&self) -> bool {
        self.is_none()
    }

    fn to_json(&self) -> Json<'static> {
        self.as_ref().map_or(Json::Null, T::to_json)
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        T::schema(definitions)
    }
}

/// A list that goes on without a wrong item, or is wrong as a whole, as [`Field::IS_CUT`] of its items says.
impl<T: Field> Field for Vec<T> {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        let items = reader.list_within(node, T::MOST)?;
        if items.len() > T::MOST {
            return None;
        }
        let kept = read_items(items, reader);
        (T::IS_CUT || kept.len() == items.len()).then_some(kept)
    }

    fn to_json(&self) -> Json<'static> {
        Json::List(self.iter().map(T::to_json).collect())
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        let items = T::schema(definitions);
        members(vec![
            ("type", Json::text("array")),
            ("items", items),
            ("maxItems", Json::number(T::MOST)),
        ])
    }
}

/// The items that can be read.
fn read_items<T: Field>(items: &[Json<'_>], reader: &mut Reader) -> Vec<T> {
    let mut read = Vec::with_capacity(items.len());
    for_each_item(items, reader, &mut |item, reader| {
        let value = T::read(item, reader);
        let is_kept = value.is_some();
        read.extend(value);
        is_kept
    });
    read
}

/// Reads the items one by one and remembers which are kept, when some are not.
fn for_each_item(
    items: &[Json<'_>],
    reader: &mut Reader,
    read: &mut dyn FnMut(&Json<'_>, &mut Reader) -> bool,
) {
    let mut lost = Vec::new();
    for (index, item) in items.iter().enumerate() {
        if !reader.at_index(index, |reader| read(item, reader)) {
            lost.push(index);
        }
    }
    if !lost.is_empty() {
        let kept = (0..items.len())
            .filter(|index| lost.binary_search(index).is_err())
            .collect();
        reader.remember_kept(kept);
    }
}

/// A list from which single items can be lost; absent is empty.
#[derive(Clone, Debug)]
pub(crate) struct Things<T>(pub(crate) Vec<T>);

impl<T: Field> Field for Things<T> {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        let items = reader.list_within(node, T::MOST)?;
        let items = items.get(..T::MOST).unwrap_or(items);
        Some(Self(read_items(items, reader)))
    }

    fn absent() -> Option<Self> {
        Some(Self(Vec::new()))
    }

    fn is_omitted(&self) -> bool {
        self.0.is_empty()
    }

    fn to_json(&self) -> Json<'static> {
        self.0.to_json()
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        Vec::<T>::schema(definitions)
    }
}

/// A word or an object.
#[derive(Clone, Debug)]
pub(crate) enum Either<W, O> {
    Word(W),
    Object(O),
}

impl<W: Field, O: Field> Field for Either<W, O> {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        if let Json::Object(_) = node {
            O::read(node, reader).map(Self::Object)
        } else {
            W::read(node, reader).map(Self::Word)
        }
    }

    fn to_json(&self) -> Json<'static> {
        match self {
            Self::Word(word) => word.to_json(),
            Self::Object(object) => object.to_json(),
        }
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        let alternatives = vec![W::schema(definitions), O::schema(definitions)];
        members(vec![("anyOf", Json::List(alternatives))])
    }
}

/// Reads a number in units of `10^-decimals` within a range of those units.
fn number_within(
    node: &Json<'_>,
    decimals: u8,
    (least, most): (i64, i64),
    reader: &mut Reader,
) -> Option<i64> {
    let kind = match decimals {
        0 => "a whole number".to_owned(),
        decimals => format!("a number with at most {decimals} decimals"),
    };
    let Json::Number(text) = node else {
        reader.mismatch(&kind, node);
        return None;
    };
    match decimal::scaled(text, decimals) {
        Ok(value) if (least..=most).contains(&value) => Some(value),
        Err(DecimalFault::TooFine) => {
            reader.mismatch(&kind, node);
            None
        }
        Ok(_) | Err(DecimalFault::TooLarge) => {
            let (least, most) = (
                decimal::shown(least, decimals),
                decimal::shown(most, decimals),
            );
            reader.mismatch(&format!("{kind} from {least} to {most}"), node);
            None
        }
    }
}

fn number_schema(decimals: u8, (least, most): (i64, i64)) -> Json<'static> {
    let kind = if decimals == 0 { "integer" } else { "number" };
    let mut list = vec![("type", Json::text(kind))];
    if least > i64::MIN {
        list.push(("minimum", Json::number(decimal::shown(least, decimals))));
    }
    if most < i64::MAX {
        list.push(("maximum", Json::number(decimal::shown(most, decimals))));
    }
    members(list)
}

/// Declares numbers: `Type(inner) * 10^-decimals in least..=most`.
macro_rules! numbers {
    ($($type:ty: $decimals:literal decimals, $range:expr, $make:expr, $get:expr;)+) => {$(
        impl Field for $type {
            fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
                let value = number_within(node, $decimals, $range, reader)?;
                $make(value)
            }

            fn to_json(&self) -> Json<'static> {
                Json::number(decimal::shown($get(*self), $decimals))
            }

            fn schema(_: &mut Definitions) -> Json<'static> {
                number_schema($decimals, $range)
            }
        }
    )+};
}

/// A number in thousandths of the unit in its member's name.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Thousandths(pub(crate) i64);

/// A charge in thousandths of an ampere-hour.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Charge(pub(crate) i64);

/// A number from 0 to 1 in thousandths.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fraction(pub(crate) u16);

/// A number from 0 to 1 in ten-thousandths.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TenThousandths(pub(crate) u16);

/// A cross-section in thousandths of a square millimeter.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CrossSection(pub(crate) u32);

/// Largest length, angle, intensity or current that is read, in thousandths: a million units, as in a program.
const LARGEST: i64 = 1_000_000_000;
const SIGNED: (i64, i64) = (-LARGEST, LARGEST);
const UNSIGNED: (i64, i64) = (0, LARGEST);

/// No time is longer than the longest period, in microseconds.
const LONGEST: i64 = MAX_COMMON_PERIOD.get();

numbers! {
    Millimeters: 3 decimals, SIGNED, |value| Some(Self(value)), |this: Self| this.0;
    Millidegrees: 3 decimals, SIGNED, |value| Some(Self(value)), |this: Self| this.0;
    Millicandela: 3 decimals, UNSIGNED, |value| Some(Self(value)), |this: Self| this.0;
    Milliamps: 3 decimals, UNSIGNED, |value| Some(Self(value)), |this: Self| this.0;
    Millivolts: 3 decimals, UNSIGNED, |value| Some(Self(value)), |this: Self| this.0;
    Micros: 3 decimals, (-LONGEST, LONGEST), |value| Some(Self(value)), |this: Self| this.0;
    Thousandths: 3 decimals, (i64::MIN, i64::MAX), |value| Some(Self(value)), |this: Self| this.0;
    Charge: 3 decimals, UNSIGNED, |value| Some(Self(value)), |this: Self| this.0;
    Fraction: 3 decimals, (0, 1000), |value| u16::try_from(value).ok().map(Self), |this: Self| i64::from(this.0);
    TenThousandths: 4 decimals, (0, 10_000), |value| u16::try_from(value).ok().map(Self), |this: Self| i64::from(this.0);
    CrossSection: 3 decimals, (0, u32::MAX as i64), |value| u32::try_from(value).ok().map(Self), |this: Self| i64::from(this.0);
    Level: 0 decimals, (0, 1000), |value| Level::new(value).ok(), |this: Self| this.per_mille();
    u32: 0 decimals, (0, u32::MAX as i64), |value| u32::try_from(value).ok(), |this: Self| i64::from(this);
    i8: 0 decimals, (i8::MIN as i64, i8::MAX as i64), |value| i8::try_from(value).ok(), |this: Self| i64::from(this);
}

/// Reads the text of an identifier.
#[inline(never)]
fn id_text<'node>(node: &'node Json<'_>, reader: &mut Reader) -> Option<&'node str> {
    let text = reader.text(node, ID_EXPECTED)?;
    if HeadId::new(text).is_err() {
        reader.mismatch(ID_EXPECTED, node);
        return None;
    }
    Some(text)
}

/// Reads a text that `parse` takes.
pub(crate) fn parsed<T>(
    node: &Json<'_>,
    reader: &mut Reader,
    expected: &str,
    parse: impl FnOnce(&str) -> Result<T, BadId>,
) -> Option<T> {
    let text = reader.text(node, expected)?;
    let parsed = parse(text).ok();
    if parsed.is_none() {
        reader.mismatch(expected, node);
    }
    parsed
}

/// What an identifier is, for messages.
pub(crate) const ID_EXPECTED: &str = "an id of 1 to 64 letters, digits, '-', '_' or '.'";

macro_rules! identifiers {
    ($($type:ty $(: $is_cut:literal)?),+) => {$(
        impl Field for $type {
            $(const IS_CUT: bool = $is_cut;)?

            fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
                Self::new(id_text(node, reader)?).ok()
            }

            fn to_json(&self) -> Json<'static> {
                Json::text(self.as_str().to_owned())
            }

            fn schema(_: &mut Definitions) -> Json<'static> {
                members(vec![
                    ("type", Json::text("string")),
                    ("pattern", Json::text("^[A-Za-z0-9._-]{1,64}$")),
                ])
            }
        }
    )+};
}

identifiers!(
    HeadId,
    OutputId,
    FuseId,
    ClockId,
    PatternId,
    RoleId,
    GroupId,
    SignalId,
    ValueId,
    ControlId,
    LayerId,
    SituationId,
    GuaranteeId
);
