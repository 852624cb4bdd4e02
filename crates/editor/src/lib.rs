//! What the front end does without a browser: actions, history, gestures, selection, snapping, viewport, and the lists of things to draw.
//!
//! [`EditorState::apply`] is the only way anything changes; it is pure and total.
//! Time and level are exact integers throughout; floating point stands for pixels alone.
//!
//! Invariant: no I/O, no clock, no randomness, no browser types; a painter only replays a [`Scene`] or a [`PlanScene`].

mod action;
pub mod approach;
mod binding;
pub mod builder;
mod changes;
mod choose;
mod commands;
mod describe;
mod edge_limits;
mod edits;
mod elevation;
mod gate;
mod gesture;
mod hand_over;
mod history;
mod hit;
mod lane_edit;
mod lane_heads;
mod lane_ops;
pub mod library;
mod look;
mod numbers;
mod operate;
mod parameter;
mod pattern_edits;
mod plan;
pub mod preview;
mod pulses;
mod results;
mod rule_scope;
mod scene;
mod selection;
pub mod setup;
mod shown;
mod silence;
mod snap;
mod state;
mod table;
pub mod trial;
mod viewport;

pub use action::{Action, FocusMove, Modifiers, Pointer, SelectMode, Theme, View};
pub use approach::Eye;
pub use binding::bind_lanes;
pub use changes::{Change, changes};
pub use commands::{
    COMMANDS, Chord, Command, CommandGroup, CommandId, Perform, PlatformTask, command,
    command_for_key,
};
pub use describe::{describe_focus, describe_pulse};
pub use edge_limits::LimitGuide;
pub use elevation::{BodyPart, Projection};
pub use gesture::{Gesture, GestureKind, PulseEdge};
pub use hand_over::{StepText, add_read, read_steps, step_subjects, step_text};
pub use history::{History, Step, TextFormat, WrittenTexts};
pub use hit::{Hit, HitPart, hit, hit_in};
pub use lane_heads::{LaneHead, lane_heads};
pub use numbers::{LaneNumbers, lane_numbers, thousandths, typed};
pub use operate::{Operation, Question};
pub use parameter::parameter_value;
pub use plan::{
    PlanEmitter, PlanFace, PlanHead, PlanScene, lamp_levels, painted_lamps, plan_scene,
    vehicle_scene,
};
pub use results::{Driven, Results, directions, is_long_to_judge};
pub use rule_scope::{ScopeItem, ScopeList, ScopePart, profile_for, scope_lists, scope_toggled};
pub use scene::{
    Item, Line, Overlay, Rect, Role, Scene, Text, TextAlign, playhead, scene, scene_height_px,
};
pub use selection::{Focus, PulseAt, Selection};
pub use shown::Shown;
pub use silence::Heard;
pub use snap::{SnapTarget, Snapped};
pub use state::{EditorState, Message, MessageKind, Notice, PreviewState, SaveState};
pub use table::{LaneRow, PulseRow, lane_table};
pub use viewport::{Layout, Viewport};
