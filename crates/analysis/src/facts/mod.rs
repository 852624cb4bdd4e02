//! Facts: measured quantities of a drive, each defined once.
//!
//! Invariant: pure, exact integers and fractions wherever a limit may be compared; floating point only in root mean squares, angles, wire drops, run times and effective intensities, which say so.
//! Absent: limits and judgments, which are the rules'; light toward directions, which is [`crate::light`]'s.

mod ampacity;
mod balance;
mod carrier;
mod courses;
mod current;
mod drift;
pub mod effective;
mod electrical;
mod fuse;
mod marine;
mod supply;
mod timing;
mod wire;

pub use ampacity::{INSULATION_CELSIUS, ampacity};
pub use balance::{GroupFacts, PairFacts, Phase, Set};
pub use carrier::{Chopped, ModulationPractice, beat_hz, chopped};
pub use courses::{CourseUnit, Courses, LitEmitter};
pub use current::CurrentFacts;
pub use drift::Drift;
pub use effective::EffectiveIntensity;
pub use electrical::{ElectricalFacts, FuseFacts, OutputFacts};
pub use fuse::{
    BLADE_GATES, BLOWS_FROM, CARRIES_UP_TO, FuseGate, HeatingCourse, gate_at, heating_course,
    longest_at_least,
};
pub use marine::MarineRhythm;
pub use supply::{
    EngineOff, IdleMargin, amp_hours_of_reserve, minutes_from_amp_hours, minutes_from_reserve,
};
pub use timing::{Flash, Flashes, Longest, Range, Rate, Rhythm, TimingFacts};
pub use wire::{
    ConstantPowerLoad, Resistance, ResistanceSource, WireFacts, WireTable, area_mm2,
    constant_power_load, copper_resistivity, diameter_mm, least_area_mm2,
};

use crate::{MeasureSettings, Ratio};
use lampwright_model::{
    ClockId, Color, Decision, Drive, Head, HeadId, LaneUse, Millicandela, OutputId, Program, Side,
    Stated, Zone,
};
use lampwright_timing::Waveform;
use std::sync::Arc;

/// Everything measured of one drive, apart from light toward directions.
#[derive(Clone, PartialEq, Debug)]
pub struct Facts {
    /// One entry per head, in the vehicle's order.
    pub heads: Vec<HeadFacts>,
    /// The left half, the center and the right half, in this order.
    pub sides: Vec<GroupFacts>,
    /// Zones A to D in order.
    pub zones: Vec<GroupFacts>,
    /// The vehicle's named groups, in its order.
    pub groups: Vec<GroupFacts>,
    /// All heads together.
    pub whole: GroupFacts,
    /// Left against right.
    pub left_right: PairFacts,
    /// Front (zone A) against rear (zone C).
    pub front_rear: PairFacts,
    /// Currents, wires, supply.
    pub electrical: ElectricalFacts,
    /// The distinct courses on shared grids that the facts were measured on.
    pub courses: Courses,
}

/// Facts of one head.
#[derive(Clone, PartialEq, Debug)]
pub struct HeadFacts {
    /// The head.
    pub head: HeadId,
    /// Sector its axis points to.
    pub zone: Zone,
    /// Half of the vehicle it sits on.
    pub side: Side,
    /// The clock it runs on; none is the controller's.
    pub clock: Option<ClockId>,
    /// Who decided what it does.
    pub decided_by: Decision,
    /// One entry per emitter, in the head's order.
    pub emitters: Vec<EmitterFacts>,
    /// Light of all its emitters, microcandela on the axis over time; none when their common period is too long.
    pub light: Option<Arc<Waveform>>,
    /// Timing of that light; the head is lit when any emitter is.
    pub timing: Option<TimingFacts>,
    /// Mean light in candela-seconds per minute, exact: mean candela times 60 s.
    pub candela_seconds_per_minute: Ratio,
    /// Colors it shows at any time, in the head's order.
    pub colors: Vec<Color>,
}

/// Facts of one color inside a head.
#[derive(Clone, PartialEq, Debug)]
pub struct EmitterFacts {
    /// Its color.
    pub color: Color,
    /// Level over time in per mille.
    pub level: Arc<Waveform>,
    /// Timing of that level.
    pub timing: TimingFacts,
    /// The lanes that light it.
    pub lanes: Vec<LaneUse>,
    /// Peak intensity on the axis at full level, or the assumed one.
    pub peak: Stated<Millicandela>,
    /// Mean light in candela-seconds per minute, exact.
    pub candela_seconds_per_minute: Ratio,
    /// The output that drives it.
    pub output: Option<OutputId>,
    /// Its current.
    pub current: CurrentFacts,
    /// True when its current at full level is assumed.
    pub is_current_assumed: bool,
}

impl Facts {
    /// The facts of a drive; also reached as [`crate::measure()`].
    #[must_use]
    pub fn of(program: &Program, drive: &Drive, settings: &MeasureSettings) -> Self {
        let courses = Courses::of(program, drive);
        let loads = electrical::loads(program, &courses, settings);
        let mut currents = current::Currents::new(&courses);
        let timings: Vec<Vec<TimingFacts>> = courses
            .units
            .iter()
            .map(|unit| unit.courses.iter().map(|c| TimingFacts::of(c)).collect())
            .collect();
        let dark = TimingFacts::of(&Waveform::constant(0));
        let mut heads = Vec::with_capacity(program.vehicle.heads.len());
        let mut lit = courses.lit.iter().zip(&loads).enumerate().peekable();
        for (head_idx, (head, head_drive)) in
            program.vehicle.heads.iter().zip(&drive.heads).enumerate()
        {
            let mut weights = Vec::new();
            let mut emitters = Vec::with_capacity(head.emitters.len());
            for (emitter_idx, (emitter, emitter_drive)) in
                head.emitters.iter().zip(&head_drive.emitters).enumerate()
            {
                let mut facts = EmitterFacts {
                    color: emitter.color,
                    level: Arc::clone(&emitter_drive.level),
                    timing: dark.clone(),
                    lanes: emitter_drive.lanes.clone(),
                    peak: emitter.peak_or_assumed(),
                    candela_seconds_per_minute: Ratio::ZERO,
                    output: emitter.output.clone(),
                    current: CurrentFacts::NONE,
                    is_current_assumed: emitter.full_current.is_none(),
                };
                let own =
                    lit.next_if(|(_, (lit, _))| (lit.head, lit.emitter) == (head_idx, emitter_idx));
                if let Some((_, (lit, load))) = own {
                    let known = timings.get(lit.unit).and_then(|unit| unit.get(lit.course));
                    if let Some(timing) = known {
                        facts.timing = timing.clone();
                    }
                    let weight = (lit.unit, lit.course, lit.peak_millicandela);
                    weights.push(weight);
                    facts.candela_seconds_per_minute =
                        balance::per_minute(courses.mean_of([weight]));
                    facts.current = electrical::current_of_load(&mut currents, load);
                }
                emitters.push(facts);
            }
            let light = courses.light_of(&weights).map(|(_, light)| Arc::new(light));
            heads.push(HeadFacts {
                head: head.id.clone(),
                zone: head.zone(),
                side: head.side(),
                clock: head.clock.clone(),
                decided_by: head_drive.decided_by.clone(),
                timing: light.as_deref().map(TimingFacts::of),
                light,
                candela_seconds_per_minute: balance::per_minute(courses.mean_of(weights)),
                colors: emitters
                    .iter()
                    .filter(|emitter| emitter.timing.is_lit())
                    .map(|emitter| emitter.color)
                    .collect(),
                emitters,
            });
        }
        let of_heads = |set: Set, is_member: &dyn Fn(&Head) -> bool| {
            let members: Vec<usize> = program
                .vehicle
                .heads
                .iter()
                .enumerate()
                .filter(|(_, head)| is_member(head))
                .map(|(index, _)| index)
                .collect();
            balance::group(&courses, set, &members)
        };
        let [left, center, right] = [Side::Left, Side::Center, Side::Right]
            .map(|side| of_heads(Set::Side(side), &|head| head.side() == side));
        let [front, beside_right, rear, beside_left] =
            Zone::ALL.map(|zone| of_heads(Set::Zone(zone), &|head| head.zone() == zone));
        let groups = program
            .vehicle
            .groups
            .iter()
            .map(|group| of_heads(Set::Group(group.id.clone()), &|head| group.contains(head)))
            .collect();
        Self {
            heads,
            left_right: balance::pair(&left, &right),
            front_rear: balance::pair(&front, &rear),
            sides: vec![left, center, right],
            zones: vec![front, beside_right, rear, beside_left],
            groups,
            whole: of_heads(Set::Whole, &|_| true),
            electrical: electrical::electrical(program, &mut currents, &loads, settings),
            courses,
        }
    }

    /// The facts of a head.
    #[must_use]
    pub fn head(&self, id: &HeadId) -> Option<&HeadFacts> {
        self.heads.iter().find(|head| head.head == *id)
    }

    /// The left half (`Side::Left`), the center or the right half.
    #[must_use]
    pub fn side(&self, side: Side) -> Option<&GroupFacts> {
        self.sides.iter().find(|group| group.set == Set::Side(side))
    }

    /// A zone.
    #[must_use]
    pub fn zone(&self, zone: Zone) -> Option<&GroupFacts> {
        self.zones.iter().find(|group| group.set == Set::Zone(zone))
    }

    /// Facts of any heads together, given as indices into the vehicle's heads; `set` names them.
    #[must_use]
    pub fn group_of(&self, set: Set, heads: &[usize]) -> GroupFacts {
        balance::group(&self.courses, set, heads)
    }

    /// The second of any two sets against the first.
    #[must_use]
    pub fn pair_of(&self, first: &GroupFacts, second: &GroupFacts) -> PairFacts {
        balance::pair(first, second)
    }
}
