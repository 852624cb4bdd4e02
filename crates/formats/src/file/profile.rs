//! The profile and the waivers in a file.

use crate::field::{Field, Stored, Things, Thousandths, Words, object, parsed, words};
use crate::json::{Json, Object};
use crate::reader::Reader;
use crate::schema::{Definitions, members};
use lampwright_model::{
    Condition, Confirmation, PatternId, Profile, RuleChoice, RuleCode, Severity, Target, Waiver,
};
use lampwright_timing::SortedSet;

object! {
    /// The rules an agency chooses; a rule not listed is not run.
    Whole struct ProfileFile {
        /// Title.
        "title" title: Words,
        /// Where it applies, in free words.
        "jurisdiction" jurisdiction: Words,
        /// The chosen rules, each once.
        "rules" rules: Things<RuleChoice>,
    }
}

object! {
    /// One chosen rule.
    Strict struct RuleFile {
        /// Which rule, such as LW001.
        "code" code: RuleCode,
        /// Severity in place of the rule's own.
        "severity" severity: Option<Severity>,
        /// Parameters in place of the rule's own, each a number in the parameter's unit with at most three decimals.
        "parameters" parameters: Parameters,
        /// States it looks at, as alternatives of which one must hold; all states when absent.
        "when" when: Option<Condition>,
        /// Heads it looks at: all, head:ID or group:ID; all heads when absent.
        "heads" heads: Option<Vec<Target>>,
        /// Patterns it looks at; all when absent.
        "only_patterns" only_patterns: Option<Vec<PatternId>>,
        /// Patterns it does not look at.
        "except_patterns" except_patterns: Option<Vec<PatternId>>,
        /// The agency's confirmation of a limit that is known only from memory.
        "confirmed" confirmed: Option<Confirmation>,
    }
}

object! {
    /// An agency's confirmation of a limit, with its own source.
    Strict struct ConfirmationFile {
        /// Document, edition and clause as the agency has it.
        "source" source: String,
        /// Who confirmed it.
        "by" by: String,
        /// When, as year-month-day: 2025-01-31.
        "date" date: String,
    }
}

object! {
    /// A finding the agency accepts.
    Strict struct WaiverFile {
        /// Which rule, such as LW001.
        "rule" rule: RuleCode,
        /// Where, as findings write it; everywhere when absent.
        "place" place: Option<String>,
        /// Why.
        "reason" reason: String,
        /// Who accepts it.
        "by" by: String,
        /// When, as year-month-day: 2025-01-31.
        "date" date: String,
    }
}

words! {
    Severity {
        "info" = Severity::Info,
        "warning" = Severity::Warning,
        "error" = Severity::Error,
    }
}

/// Numbers by name, in thousandths; absent is none.
#[derive(Clone, Debug)]
pub(crate) struct Parameters(Vec<(String, i64)>);

impl Field for Parameters {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        let object = reader.map(node)?;
        let mut known = SortedSet::default();
        let mut parameters = Vec::new();
        let mut is_right = object.is_complete;
        for (name, value) in &object.members {
            let value = reader.at_key(name, |reader| Thousandths::read(value, reader));
            is_right &= value.is_some();
            // Of a repeated name, which is reported, the first one stands.
            if known.insert(name)
                && let Some(value) = value
            {
                parameters.push((name.to_string(), value.0));
            }
        }
        is_right.then_some(Self(parameters))
    }

    fn absent() -> Option<Self> {
        Some(Self(Vec::new()))
    }

    fn is_omitted(&self) -> bool {
        self.0.is_empty()
    }

    fn to_json(&self) -> Json<'static> {
        Json::Object(Object::of(
            self.0
                .iter()
                .map(|(name, value)| (name.clone().into(), Thousandths(*value).to_json()))
                .collect(),
        ))
    }

    fn schema(definitions: &mut Definitions) -> Json<'static> {
        let number = Thousandths::schema(definitions);
        members(vec![
            ("type", Json::text("object")),
            ("additionalProperties", number),
        ])
    }
}

impl Field for RuleCode {
    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        parsed(node, reader, "a rule's code such as LW001", str::parse)
    }

    fn to_json(&self) -> Json<'static> {
        Json::text(self.to_string())
    }

    fn schema(_: &mut Definitions) -> Json<'static> {
        members(vec![
            ("type", Json::text("string")),
            ("pattern", Json::text("^[Ll][Ww][0-9]{3}$")),
        ])
    }
}

impl Stored for Profile {
    type File = ProfileFile;

    fn from_file(file: ProfileFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            title: file.title.0,
            jurisdiction: file.jurisdiction.0,
            rules: file.rules.0,
        })
    }

    fn to_file(&self) -> ProfileFile {
        ProfileFile {
            title: Words(self.title.clone()),
            jurisdiction: Words(self.jurisdiction.clone()),
            rules: Things(self.rules.clone()),
        }
    }
}

impl Stored for RuleChoice {
    type File = RuleFile;

    fn from_file(file: RuleFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            code: file.code,
            severity: file.severity,
            parameters: file.parameters.0,
            confirmed: file.confirmed,
            when: file.when,
            heads: file.heads.unwrap_or_default(),
            only_patterns: file.only_patterns.unwrap_or_default(),
            except_patterns: file.except_patterns.unwrap_or_default(),
        })
    }

    fn to_file(&self) -> RuleFile {
        RuleFile {
            code: self.code,
            severity: self.severity,
            parameters: Parameters(self.parameters.clone()),
            when: self.when.clone(),
            heads: some_items(&self.heads),
            only_patterns: some_items(&self.only_patterns),
            except_patterns: some_items(&self.except_patterns),
            confirmed: self.confirmed.clone(),
        }
    }
}

/// The list, unless it is empty and so left out of the file.
pub(crate) fn some_items<T: Clone>(items: &[T]) -> Option<Vec<T>> {
    (!items.is_empty()).then(|| items.to_vec())
}

impl Stored for Confirmation {
    type File = ConfirmationFile;

    fn from_file(file: ConfirmationFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            source: file.source,
            by: file.by,
            date: file.date,
        })
    }

    fn to_file(&self) -> ConfirmationFile {
        ConfirmationFile {
            source: self.source.clone(),
            by: self.by.clone(),
            date: self.date.clone(),
        }
    }
}

impl Stored for Waiver {
    type File = WaiverFile;

    fn from_file(file: WaiverFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            rule: file.rule,
            place: file.place,
            reason: file.reason,
            by: file.by,
            date: file.date,
        })
    }

    fn to_file(&self) -> WaiverFile {
        WaiverFile {
            rule: self.rule,
            place: self.place.clone(),
            reason: self.reason.clone(),
            by: self.by.clone(),
            date: self.date.clone(),
        }
    }
}
