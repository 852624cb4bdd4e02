//! What follows from the shown program in the shown state.
//!
//! Computed on first use after a change, so that moves of a gesture between two frames cost nothing.

use crate::preview::{self, Speed};
use lampwright_analysis::check_state;
use lampwright_analysis::facts::Facts;
use lampwright_analysis::light::{DirectionTable, ScreenedDirections};
use lampwright_analysis::report::{Finding, FoundIn, Report};
use lampwright_analysis::rules::CheckSettings;
use lampwright_model::{Color, Drive, PatternId, Place, Program, RoleId, State, Vehicle};
use lampwright_timing::SortedMap;

/// What follows from a program in one state.
#[derive(Clone, Debug)]
pub struct Results {
    /// What every emitter does, and which layer decided it.
    pub drive: Drive,
    /// What was measured of it.
    pub facts: Facts,
    /// What the chosen rules say about this state.
    pub report: Report,
    /// Flashes toward every direction.
    pub screened: ScreenedDirections,
    /// The fastest preview that stays at or below three flashes a second.
    pub safe_speed: Speed,
    lanes: SortedMap<(PatternId, RoleId), LaneUsers>,
    /// What the preview draws where lanes are left out of it.
    drawn: Option<Drive>,
}

/// Whom a lane drives.
#[derive(Clone, Debug, Default)]
struct LaneUsers {
    heads: Vec<usize>,
    colors: Vec<Color>,
}

/// Weights of the directions around a vehicle; they hold while the vehicle stays.
#[must_use]
pub fn directions(vehicle: &Vehicle) -> DirectionTable {
    DirectionTable::new(vehicle, CheckSettings::default().light)
}

impl Results {
    /// Computes everything; `table` is that of the program's vehicle, as [`directions`] makes it.
    #[must_use]
    pub fn of(program: &Program, state: &State, found_in: FoundIn, table: &DirectionTable) -> Self {
        let settings = CheckSettings::default();
        let (context, report) = check_state(program, found_in, state, table, &settings);
        let drive = context.drive;
        let safe_speed = preview::safe_speed(program, &drive);
        let mut lanes = SortedMap::<_, LaneUsers>::default();
        for (head_idx, head) in drive.heads.iter().enumerate() {
            for emitter in &head.emitters {
                for lane in &emitter.lanes {
                    lanes.change((lane.pattern.clone(), lane.lane.clone()), |users| {
                        if !users.heads.contains(&head_idx) {
                            users.heads.push(head_idx);
                        }
                        if !users.colors.contains(&emitter.color) {
                            users.colors.push(emitter.color);
                        }
                    });
                }
            }
        }
        Self {
            facts: context.facts,
            screened: context.screened,
            report,
            drive,
            safe_speed,
            lanes,
            drawn: None,
        }
    }

    /// With another drive for the preview, at the speed that is safe for it.
    pub(crate) fn drawing(mut self, program: &Program, drawn: Option<Drive>) -> Self {
        if let Some(drive) = &drawn {
            self.safe_speed = preview::safe_speed(program, drive);
        }
        self.drawn = drawn;
        self
    }

    /// What the preview draws: what every emitter does, without the lanes that are left out.
    #[must_use]
    pub fn drawn(&self) -> &Drive {
        self.drawn.as_ref().unwrap_or(&self.drive)
    }

    /// The heads a lane lights in the shown state, as indices into the vehicle's heads, rising.
    #[must_use]
    pub fn heads_of_lane(&self, pattern: Option<&PatternId>, role: &RoleId) -> &[usize] {
        self.users(pattern, role)
            .map_or(&[], |users| users.heads.as_slice())
    }

    /// The color a lane's pulses show in the shown state where they have none of their own; none when it is not just one.
    #[must_use]
    pub fn color_of_lane(&self, pattern: Option<&PatternId>, role: &RoleId) -> Option<Color> {
        match self.users(pattern, role)?.colors.as_slice() {
            [only] => Some(*only),
            _ => None,
        }
    }

    /// The letters of the colors a lane shows in the shown state where its pulses have none of their own: "A R"; empty when it drives nothing.
    #[must_use]
    pub fn letters_of_lane(&self, pattern: Option<&PatternId>, role: &RoleId) -> String {
        let colors = self.users(pattern, role).map(|users| &users.colors);
        let mut letters = String::new();
        for color in colors.into_iter().flatten() {
            if !letters.is_empty() {
                letters.push(' ');
            }
            letters.push(color.letter());
        }
        letters
    }

    /// The findings of the shown state that name a lane, gravest first.
    pub fn findings_of_lane<'a>(
        &'a self,
        pattern: &'a PatternId,
        role: &'a RoleId,
    ) -> impl Iterator<Item = &'a Finding> {
        self.report.findings.iter().filter(move |finding| {
            let names_it = |(known, lane): &(PatternId, RoleId)| known == pattern && lane == role;
            finding.counts()
                && (finding.lane.as_ref().is_some_and(names_it)
                    || matches!(&finding.place, Place::Lane(known, lane) if known == pattern && lane == role))
        })
    }

    fn users(&self, pattern: Option<&PatternId>, role: &RoleId) -> Option<&LaneUsers> {
        self.lanes.get(&(pattern?.clone(), role.clone()))
    }
}
