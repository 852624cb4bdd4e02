//! Layers: when these signals hold, these heads do this; and what is said about states.

use crate::{
    Color, Condition, GroupId, GuaranteeId, HeadId, LayerId, Milliamps, PatternId, RoleId,
    SignalId, SituationId, ValueId,
};
use lampwright_timing::{Level, Micros};

/// One entry of the ordered list in which, for each head, the first that holds and addresses it decides.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Layer {
    /// Identifier.
    pub id: LayerId,
    /// What the agency calls it.
    pub label: String,
    /// When it acts.
    pub when: Condition,
    /// What it does, and to which heads.
    pub action: Action,
}

/// What a layer does.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Action {
    /// Plays a pattern: each binding lets a lane drive some heads.
    Play {
        /// The pattern.
        pattern: PatternId,
        /// Lanes to heads; a head may stand in several, for example once per color.
        bindings: Vec<Binding>,
    },
    /// Steady light.
    Hold {
        /// Which heads.
        heads: Vec<Target>,
        /// In which color; none is each head's first emitter.
        color: Option<Color>,
        /// How strongly, above zero.
        level: Level,
    },
    /// No light.
    Dark {
        /// Which heads.
        heads: Vec<Target>,
    },
}

impl Action {
    /// Every target the action addresses.
    pub fn targets(&self) -> impl Iterator<Item = &Target> {
        let (bindings, heads): (&[Binding], &[Target]) = match self {
            Self::Play { bindings, .. } => (bindings, &[]),
            Self::Hold { heads, .. } | Self::Dark { heads } => (&[], heads),
        };
        bindings
            .iter()
            .flat_map(|binding| &binding.heads)
            .chain(heads)
    }
}

/// One lane driving some heads.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Binding {
    /// The lane's role.
    pub lane: RoleId,
    /// Which heads.
    pub heads: Vec<Target>,
    /// In which color where the pulse has none; none is each head's first emitter.
    pub color: Option<Color>,
    /// How much later than the pattern's start.
    pub offset: Micros,
}

/// A head, a group, or all heads.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Target {
    /// Every head of the vehicle.
    All,
    /// One head.
    Head(HeadId),
    /// The heads of a group.
    Group(GroupId),
}

/// Scales what the layers decided; every active one multiplies.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DimLayer {
    /// Identifier, in one space with the layers'.
    pub id: LayerId,
    /// What the agency calls it.
    pub label: String,
    /// When it acts.
    pub when: Condition,
    /// Which heads.
    pub heads: Vec<Target>,
    /// The factor in per mille.
    pub factor: Level,
    /// Which kind of light it touches.
    pub only: DimKind,
}

/// Which kind of light a dim layer touches.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum DimKind {
    /// Heads whose light changes.
    Flashing,
    /// Heads whose light is steady.
    Steady,
    /// Both.
    Both,
}

/// A state with a name, worth looking at.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Situation {
    /// Identifier.
    pub id: SituationId,
    /// Name: "responding, day".
    pub label: String,
    /// Values other than the defaults.
    pub values: Vec<(SignalId, ValueId)>,
}

/// A promise of the agency's own about heads in some states.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Guarantee {
    /// Identifier.
    pub id: GuaranteeId,
    /// In the agency's words.
    pub label: String,
    /// In which states.
    pub when: Condition,
    /// About which heads.
    pub heads: Vec<Target>,
    /// What is promised.
    pub must: Must,
}

/// What a guarantee promises.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Must {
    /// No light.
    BeDark,
    /// Light that does not change.
    BeSteady,
    /// No color but these.
    ShowOnly(Vec<Color>),
    /// None of these colors.
    ShowNever(Vec<Color>),
    /// No head above this level.
    LevelAtMost(Level),
    /// Each head reaches at least this level at some time.
    LevelAtLeast(Level),
    /// All the heads are lit and dark together.
    PlayInStep,
    /// The left heads and the right heads are lit in turn.
    Alternate,
    /// The mean current of the whole vehicle.
    TotalCurrentAtMost(Milliamps),
}
