//! Layers, dim layers, situations and guarantees in a file.

use crate::field::{Either, Field, Stored, Words, object, parsed, words};
use crate::file::signals::Settings;
use crate::json::Json;
use crate::reader::Reader;
use crate::schema::{Definitions, members};
use lampwright_model::{
    Action, BadId, Binding, Color, Condition, DimKind, DimLayer, GroupId, Guarantee, GuaranteeId,
    HeadId, Layer, LayerId, Milliamps, Must, PatternId, RoleId, Situation, SituationId, Target,
};
use lampwright_timing::{Level, Micros};

object! {
    /// What some heads do while some signals hold; for each head the first layer of the list that holds and addresses it decides.
    Strict struct LayerFile one of ["play", "hold", "dark"] {
        /// Identifier, unique among layers and dims.
        "id" id: LayerId,
        /// What the agency calls it.
        "label" label: Words,
        /// Alternatives of which one must hold, each with allowed values per signal; always when absent.
        "when" when: Condition,
        /// Plays a pattern.
        "play" play: Option<PlayFile>,
        /// Steady light.
        "hold" hold: Option<HoldFile>,
        /// No light.
        "dark" dark: Option<DarkFile>,
    }
}

object! {
    /// A pattern with its lanes bound to heads.
    Strict struct PlayFile {
        /// The pattern.
        "pattern" pattern: PatternId,
        /// Lanes to heads; a head may stand in several, for example once per color.
        "bindings" bindings: Vec<Binding>,
    }
}

object! {
    /// One lane driving some heads.
    Strict struct BindingFile {
        /// The role of the lane.
        "lane" lane: RoleId,
        /// Which heads: all, head:ID or group:ID.
        "heads" heads: Vec<Target>,
        /// Color where the pulse has none; the first emitter of each head when absent.
        "color" color: Option<Color>,
        /// How much later than the pattern's start, in milliseconds; 0 when absent.
        "offset_ms" offset: Option<Micros>,
    }
}

object! {
    /// Steady light.
    Strict struct HoldFile {
        /// Which heads: all, head:ID or group:ID.
        "heads" heads: Vec<Target>,
        /// Color; the first emitter of each head when absent.
        "color" color: Option<Color>,
        /// Drive in per mille of full, above 0; 1000 when absent.
        "level" level: Option<Level>,
    }
}

object! {
    /// No light.
    Strict struct DarkFile {
        /// Which heads: all, head:ID or group:ID.
        "heads" heads: Vec<Target>,
    }
}

object! {
    /// Scales what the layers decided; every active one multiplies.
    Strict struct DimFile {
        /// Identifier, unique among layers and dims.
        "id" id: LayerId,
        /// What the agency calls it.
        "label" label: Words,
        /// Alternatives of which one must hold; always when absent.
        "when" when: Condition,
        /// Which heads: all, head:ID or group:ID.
        "heads" heads: Vec<Target>,
        /// Factor in per mille.
        "factor" factor: Level,
        /// Which kind of light it touches; both when absent.
        "only" only: Option<DimKind>,
    }
}

object! {
    /// A state with a name, worth looking at.
    Strict struct SituationFile {
        /// Identifier, unique among the situations.
        "id" id: SituationId,
        /// Its name.
        "label" label: Words,
        /// Values of signals other than their defaults.
        "values" values: Settings,
    }
}

object! {
    /// A promise of the agency's own about heads in some states.
    Strict struct GuaranteeFile {
        /// Identifier, unique among the guarantees.
        "id" id: GuaranteeId,
        /// In the agency's words.
        "label" label: Words,
        /// Alternatives of which one must hold; always when absent.
        "when" when: Condition,
        /// Which heads: all, head:ID or group:ID.
        "heads" heads: Vec<Target>,
        /// What is promised.
        "must" must: Must,
    }
}

/// Promises that need nothing further.
#[derive(Clone, Copy, Debug)]
pub(crate) enum PlainPromise {
    BeDark,
    BeSteady,
    PlayInStep,
    Alternate,
}

object! {
    /// A promise with a color or a number.
    Strict struct PromiseFile one of [
        "show_only", "show_never", "level_at_most", "level_at_least", "total_current_at_most_a"
    ] {
        /// No color but these.
        "show_only" show_only: Option<Vec<Color>>,
        /// None of these colors.
        "show_never" show_never: Option<Vec<Color>>,
        /// No head above this level, in per mille.
        "level_at_most" level_at_most: Option<Level>,
        /// Each head reaches at least this level at some time, in per mille.
        "level_at_least" level_at_least: Option<Level>,
        /// Largest mean current of the whole vehicle, in amperes.
        "total_current_at_most_a" total_current_at_most: Option<Milliamps>,
    }
}

words! {
    PlainPromise {
        "be-dark" = PlainPromise::BeDark,
        "be-steady" = PlainPromise::BeSteady,
        "play-in-step" = PlainPromise::PlayInStep,
        "alternate" = PlainPromise::Alternate,
    }
}

words! {
    DimKind {
        "flashing" = DimKind::Flashing,
        "steady" = DimKind::Steady,
        "both" = DimKind::Both,
    }
}

impl Field for Target {
    const IS_CUT: bool = true;

    fn read(node: &Json<'_>, reader: &mut Reader) -> Option<Self> {
        parsed(node, reader, "all, head:ID or group:ID", |text| {
            if text == "all" {
                Ok(Self::All)
            } else if let Some(id) = text.strip_prefix("head:") {
                HeadId::new(id).map(Self::Head)
            } else if let Some(id) = text.strip_prefix("group:") {
                GroupId::new(id).map(Self::Group)
            } else {
                Err(BadId(text.to_owned()))
            }
        })
    }

    fn to_json(&self) -> Json<'static> {
        Json::text(match self {
            Self::All => "all".to_owned(),
            Self::Head(id) => format!("head:{id}"),
            Self::Group(id) => format!("group:{id}"),
        })
    }

    fn schema(_: &mut Definitions) -> Json<'static> {
        members(vec![
            ("type", Json::text("string")),
            (
                "pattern",
                Json::text("^(all|(head|group):[A-Za-z0-9._-]{1,64})$"),
            ),
        ])
    }
}

impl Stored for Layer {
    type File = LayerFile;

    fn from_file(file: LayerFile, _: &mut Reader) -> Option<Self> {
        let action = match (file.play, file.hold, file.dark) {
            (Some(play), ..) => Action::Play {
                pattern: play.pattern,
                bindings: play.bindings,
            },
            (_, Some(hold), _) => Action::Hold {
                heads: hold.heads,
                color: hold.color,
                level: hold.level.unwrap_or(Level::FULL),
            },
            (.., Some(dark)) => Action::Dark { heads: dark.heads },
            (None, None, None) => return None,
        };
        Some(Self {
            id: file.id,
            label: file.label.0,
            when: file.when,
            action,
        })
    }

    fn to_file(&self) -> LayerFile {
        let (mut play, mut hold, mut dark) = (None, None, None);
        match self.action.clone() {
            Action::Play { pattern, bindings } => play = Some(PlayFile { pattern, bindings }),
            Action::Hold {
                heads,
                color,
                level,
            } => {
                hold = Some(HoldFile {
                    heads,
                    color,
                    level: (level != Level::FULL).then_some(level),
                });
            }
            Action::Dark { heads } => dark = Some(DarkFile { heads }),
        }
        LayerFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            when: self.when.clone(),
            play,
            hold,
            dark,
        }
    }
}

impl Stored for Binding {
    type File = BindingFile;
    const IS_CUT: bool = true;

    fn from_file(file: BindingFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            lane: file.lane,
            heads: file.heads,
            color: file.color,
            offset: file.offset.unwrap_or(Micros::ZERO),
        })
    }

    fn to_file(&self) -> BindingFile {
        BindingFile {
            lane: self.lane.clone(),
            heads: self.heads.clone(),
            color: self.color,
            offset: (self.offset != Micros::ZERO).then_some(self.offset),
        }
    }
}

impl Stored for DimLayer {
    type File = DimFile;

    fn from_file(file: DimFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            id: file.id,
            label: file.label.0,
            when: file.when,
            heads: file.heads,
            factor: file.factor,
            only: file.only.unwrap_or(DimKind::Both),
        })
    }

    fn to_file(&self) -> DimFile {
        DimFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            when: self.when.clone(),
            heads: self.heads.clone(),
            factor: self.factor,
            only: (self.only != DimKind::Both).then_some(self.only),
        }
    }
}

impl Stored for Situation {
    type File = SituationFile;

    fn from_file(file: SituationFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            id: file.id,
            label: file.label.0,
            values: file.values.0,
        })
    }

    fn to_file(&self) -> SituationFile {
        SituationFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            values: Settings(self.values.clone()),
        }
    }
}

impl Stored for Guarantee {
    type File = GuaranteeFile;

    fn from_file(file: GuaranteeFile, _: &mut Reader) -> Option<Self> {
        Some(Self {
            id: file.id,
            label: file.label.0,
            when: file.when,
            heads: file.heads,
            must: file.must,
        })
    }

    fn to_file(&self) -> GuaranteeFile {
        GuaranteeFile {
            id: self.id.clone(),
            label: Words(self.label.clone()),
            when: self.when.clone(),
            heads: self.heads.clone(),
            must: self.must.clone(),
        }
    }
}

impl Stored for Must {
    type File = Either<PlainPromise, PromiseFile>;

    fn from_file(file: Self::File, _: &mut Reader) -> Option<Self> {
        let promise = match file {
            Either::Word(PlainPromise::BeDark) => return Some(Self::BeDark),
            Either::Word(PlainPromise::BeSteady) => return Some(Self::BeSteady),
            Either::Word(PlainPromise::PlayInStep) => return Some(Self::PlayInStep),
            Either::Word(PlainPromise::Alternate) => return Some(Self::Alternate),
            Either::Object(promise) => promise,
        };
        promise
            .show_only
            .map(Self::ShowOnly)
            .or(promise.show_never.map(Self::ShowNever))
            .or(promise.level_at_most.map(Self::LevelAtMost))
            .or(promise.level_at_least.map(Self::LevelAtLeast))
            .or(promise.total_current_at_most.map(Self::TotalCurrentAtMost))
    }

    fn to_file(&self) -> Self::File {
        let mut promise = PromiseFile {
            show_only: None,
            show_never: None,
            level_at_most: None,
            level_at_least: None,
            total_current_at_most: None,
        };
        match self {
            Self::BeDark => return Either::Word(PlainPromise::BeDark),
            Self::BeSteady => return Either::Word(PlainPromise::BeSteady),
            Self::PlayInStep => return Either::Word(PlainPromise::PlayInStep),
            Self::Alternate => return Either::Word(PlainPromise::Alternate),
            Self::ShowOnly(colors) => promise.show_only = Some(colors.clone()),
            Self::ShowNever(colors) => promise.show_never = Some(colors.clone()),
            Self::LevelAtMost(level) => promise.level_at_most = Some(*level),
            Self::LevelAtLeast(level) => promise.level_at_least = Some(*level),
            Self::TotalCurrentAtMost(current) => promise.total_current_at_most = Some(*current),
        }
        Either::Object(promise)
    }
}
