//! The kinds of everything that can come about, each listed by name.
//!
//! Invariant: a kind that is missing here does not compile.

use lampwright_editor::setup::HeadsChange;
use lampwright_editor::{Action, Operation, Question};
use lampwright_model::{Edit, Item};

macro_rules! kinds {
    ($all:ident, $of:ident, $enum:ident: $($kind:ident)*) => {
        /// The names of all kinds, in the order of the enum.
        pub(super) const $all: &[&str] = &[$(stringify!($kind)),*];

        pub(super) fn $of(it: &$enum) -> &'static str {
            match it { $($enum::$kind { .. } => stringify!($kind),)* }
        }
    };
}

kinds! { ACTIONS, kind_of_action, Action:
    Open Refuse Edit Run SetView ChoosePattern SelectPulses SelectLanes SelectHeads SelectAll
    SelectNothing MoveFocus InsertPulse InsertAtFocus Delete SetLevel StepLevel SetStart SetLength
    SetColor Nudge Stretch MoveToLane Operate BindHead Answer Heads SetPeriod SetTick RenamePattern AddPattern
    RemovePattern AddLane RemoveLane RenameLane MoveLane Press Drag Release CancelGesture Resize
    ZoomAbout Pan SetViewport ZoomToFit ZoomToSelection SetSignal PressControl ReleaseControl
    ChooseSituation ShowDefaultState Undo Redo TakeHistory Play Pause Stop Seek StepPreview LookFrom
    StandAt SetSlowness LoopSelection AskFullSpeed ConfirmFullSpeed UseSafeSpeed SetReducedMotion
    JumpTo JumpToFinding SaveStarted SaveFinished SaveFailed SetTheme DismissNotices
}

/// Actions that begin a history, so that nothing before them can be taken back: every run starts with them.
pub(super) const BEGINNINGS: [&str; 2] = ["Open", "TakeHistory"];

/// Actions that change the document by themselves.
pub(super) const EDITING: [&str; 26] = [
    "Edit",
    "Run",
    "InsertPulse",
    "InsertAtFocus",
    "Delete",
    "SetLevel",
    "StepLevel",
    "SetStart",
    "SetLength",
    "SetColor",
    "Nudge",
    "Stretch",
    "MoveToLane",
    "Operate",
    "BindHead",
    "Answer",
    "Heads",
    "SetPeriod",
    "SetTick",
    "RenamePattern",
    "AddPattern",
    "RemovePattern",
    "AddLane",
    "RemoveLane",
    "RenameLane",
    "MoveLane",
];

kinds! { EDITS, kind_of_edit, Edit:
    Put Insert Remove Move SetPulses SetTitle SetVehicle SetImpossible SetProfile SetWaivers Together
}

kinds! { ITEMS, kind_of_item, Item:
    Head Output Fuse Clock Group Pattern Signal Control Layer DimLayer Situation Guarantee
}

kinds! { HEADS, kind_of_heads, HeadsChange:
    SameForward SameLeft Spread Mirror Move Wire Play Press Drag
}

macro_rules! units {
    ($all:ident, $check:ident, $enum:ident: $($kind:ident)*) => {
        pub(super) const $all: &[$enum] = &[$($enum::$kind),*];

        /// Does not compile while one is missing above.
        pub(super) const fn $check(it: $enum) {
            match it { $($enum::$kind => {})* }
        }
    };
}

units! { OPERATIONS, listed_operation, Operation:
    Split JoinTouching JoinAcross Cut Copy Paste Duplicate Reverse Mirror Invert Quantize Spread
    Mute Alone
}

/// Operations that leave the document as it is.
pub(super) const LOOKING: [Operation; 3] = [Operation::Copy, Operation::Mute, Operation::Alone];

units! { QUESTIONS, listed_question, Question:
    Runs Rate Duty Repeat Shift Period MirrorTo Start Length Level LaneName
}
