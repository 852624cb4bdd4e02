//! Properties of the photosensitive screening, against a slow second screening and against facts
//! that follow from the published definitions (WCAG 2.2; ITU-R BT.1702-3).
#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]
#![cfg(not(target_arch = "wasm32"))]

mod oracle;

use lampwright_analysis::screening::{
    Cell, Chromaticity, Extent, Lane, OwnedScene, Ratio, Run, Screening, Settings, Workspace,
    free_running_bound, screen, worst_alignment,
};
use proptest::prelude::*;

/// Ticks per second in the random scenes: onsets merge within two ticks.
const SECOND: i64 = 60;
const LONGEST: i64 = 120 * SECOND;

/// Red, amber, blue, green and white as x and y in 1e-4 (illustrative colors, a proposal).
const COLORS: [(u16, u16); 5] = [
    (7000, 2990),
    (5750, 4240),
    (1400, 600),
    (1700, 7000),
    (3127, 3290),
];

fn chromaticity(color: usize) -> Chromaticity {
    let (x, y) = COLORS[color];
    Chromaticity::new(x, y).unwrap()
}

fn judge(scene: &OwnedScene) -> Screening {
    screen(
        &scene.as_scene(),
        &Settings::default(),
        &mut Workspace::default(),
    )
    .unwrap()
}

/// What must not depend on time zero, on the order of clusters or on how cells are cut.
fn counts(found: &Screening) -> impl PartialEq + std::fmt::Debug + use<> {
    (
        (
            found.sum.count,
            found.n_pairs_floor,
            found.union.count,
            found.cluster.count,
        ),
        (found.abs.map(|abs| abs.count), found.n(), found.governed_by),
        (found.red_sum.count, found.red_union.count, found.chroma),
        (
            found.span4_ticks,
            found.burst_ticks,
            found.run,
            found.is_sustained,
        ),
        (
            found.band,
            found.has_no_timing_margin,
            found.light_max,
            found.light_min,
        ),
    )
}

#[derive(Clone, Debug)]
struct DrawnLane {
    color: usize,
    weight: i64,
    offset: i64,
    cells: Vec<Cell>,
}

fn lane(total: i64, levels: &'static [i64]) -> impl Strategy<Value = DrawnLane> {
    let cell = (1_i64..12, prop::sample::select(levels));
    let cells = prop::collection::vec(cell, 1..12);
    let weights = prop::sample::select(&[1_i64, 1, 1, 2, 5, 12][..]);
    (0..COLORS.len(), weights, 0..total, cells).prop_map(move |(color, weight, offset, drawn)| {
        let mut cells: Vec<Cell> = Vec::new();
        let mut left = total;
        for (duration, level) in drawn.into_iter().cycle() {
            let duration = duration.min(left);
            cells.push(Cell { duration, level });
            left -= duration;
            if left == 0 {
                break;
            }
        }
        DrawnLane {
            color,
            weight,
            offset,
            cells,
        }
    })
}

const LEVELS: &[i64] = &[0, 0, 0, 1, 10, 30, 60, 80, 90, 100, 100, 100];

fn lanes() -> impl Strategy<Value = Vec<DrawnLane>> {
    (1_i64..110).prop_flat_map(|total| {
        let whole = prop::collection::vec(lane(total, LEVELS), 1..5);
        let half = prop::collection::vec(lane(total * 2, LEVELS), 0..2);
        (whole, half).prop_map(|(mut whole, half)| {
            whole.extend(half);
            whole
        })
    })
}

fn scene_of(lanes: &[DrawnLane], horizon: Option<i64>) -> OwnedScene {
    let colors: Vec<Chromaticity> = lanes.iter().map(|lane| chromaticity(lane.color)).collect();
    let borrowed: Vec<Lane<'_>> = lanes
        .iter()
        .enumerate()
        .map(|(cluster, lane)| Lane {
            cluster,
            weight: lane.weight,
            offset: lane.offset,
            cells: &lane.cells,
        })
        .collect();
    OwnedScene::from_lanes(SECOND, horizon, LONGEST, &colors, &borrowed).unwrap()
}

/// The same lanes tick by tick, worked out apart from the scene.
fn light_of(lanes: &[DrawnLane], ticks: i64, is_cyclic: bool) -> oracle::Light {
    let clusters = lanes.iter().map(|lane| {
        let total: i64 = lane.cells.iter().map(|cell| cell.duration).sum();
        let level_at = |tick: i64| {
            let mut place = (tick - lane.offset).rem_euclid(total);
            for cell in &lane.cells {
                if place < cell.duration {
                    return cell.level;
                }
                place -= cell.duration;
            }
            unreachable!("a place within the lane")
        };
        let (x, y) = COLORS[lane.color];
        oracle::Cluster {
            xy: (f64::from(x) / 1e4, f64::from(y) / 1e4),
            light: (0..ticks)
                .map(|tick| lane.weight * level_at(tick))
                .collect(),
        }
    });
    oracle::Light {
        second: SECOND,
        is_cyclic,
        clusters: clusters.collect(),
        reference: None,
        cd_m2_per_light: None,
    }
}

fn as_oracle(found: &Screening) -> oracle::Found {
    oracle::Found {
        sum: found.sum.count,
        pairs_floor: found.n_pairs_floor,
        cluster: found.cluster.count,
        union: found.union.count,
        abs: found.abs.map(|abs| abs.count),
        red_sum: found.red_sum.count,
        red_union: found.red_union.count,
        chroma: found.chroma,
        span4: found.span4_ticks,
        burst: found.burst_ticks,
        run: match found.run {
            Run::None => oracle::Run::Ticks(0),
            Run::Ticks(ticks) => oracle::Run::Ticks(ticks),
            Run::Continuous => oracle::Run::Continuous,
        },
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn cyclic_light_is_counted_as_by_brute_force(
        lanes in lanes(),
        reference in prop::option::weighted(0.2, 50_i64..2000),
        luminance in prop::option::weighted(0.5, 1_i64..4),
    ) {
        let mut scene = scene_of(&lanes, None);
        let mut light = light_of(&lanes, scene.extent.ticks(), true);
        scene.reference = reference;
        scene.luminance_cd_m2_per_light = luminance.and_then(|cd_m2| Ratio::new(cd_m2, 1));
        light.reference = reference;
        light.cd_m2_per_light = luminance;
        let found = judge(&scene);
        prop_assert_eq!(as_oracle(&found), light.screen());
        prop_assert_eq!(found.span4_ticks.is_some_and(|span| span < SECOND), found.n() > 3);
    }

    #[test]
    fn light_that_happens_once_is_counted_as_by_brute_force(
        lanes in lanes(),
        horizon in 1_i64..300,
        luminance in prop::option::weighted(0.5, 1_i64..4),
    ) {
        let mut scene = scene_of(&lanes, Some(horizon));
        let mut light = light_of(&lanes, horizon, false);
        scene.luminance_cd_m2_per_light = luminance.and_then(|cd_m2| Ratio::new(cd_m2, 1));
        light.cd_m2_per_light = luminance;
        prop_assert_eq!(as_oracle(&judge(&scene)), light.screen());
    }

    #[test]
    fn a_common_time_shift_changes_no_count(lanes in lanes(), shift in 0_i64..5000) {
        let scene = scene_of(&lanes, None);
        let wanted = counts(&judge(&scene));
        prop_assert_eq!(&counts(&judge(&scene.delayed(shift))), &wanted);
        let mut late = lanes.clone();
        for lane in &mut late {
            lane.offset += shift;
        }
        prop_assert_eq!(&counts(&judge(&scene_of(&late, None))), &wanted);
    }

    #[test]
    fn splitting_a_cell_into_two_that_touch_changes_nothing(lanes in lanes(), which in 0_usize..60) {
        let wanted = judge(&scene_of(&lanes, None));
        let mut split = lanes.clone();
        let lane = which % split.len();
        let cells = &mut split[lane].cells;
        let cell = which / 5 % cells.len();
        let whole = cells[cell];
        if whole.duration < 2 {
            return Ok(());
        }
        cells[cell].duration = 1;
        cells.insert(cell + 1, Cell { duration: whole.duration - 1, level: whole.level });
        prop_assert_eq!(judge(&scene_of(&split, None)), wanted);
    }

    #[test]
    fn the_order_of_clusters_changes_no_count(lanes in lanes(), turn in 1_usize..5) {
        let wanted = counts(&judge(&scene_of(&lanes, None)));
        let mut turned = lanes.clone();
        turned.rotate_left(turn % lanes.len());
        prop_assert_eq!(&counts(&judge(&scene_of(&turned, None))), &wanted);
        turned.reverse();
        prop_assert_eq!(&counts(&judge(&scene_of(&turned, None))), &wanted);
    }

    #[test]
    fn governing_onsets_contain_the_worst_second_they_report(lanes in lanes()) {
        let found = judge(&scene_of(&lanes, None));
        if let Some(governing) = found.governing {
            let period = governing.period.unwrap();
            let start = governing.worst.starts_at.unwrap();
            let turns = SECOND / period + 2;
            let in_second = (0..=turns)
                .flat_map(|turn| governing.onsets.iter().map(move |time| time + turn * period))
                .filter(|time| (start..start + SECOND).contains(time))
                .count();
            prop_assert_eq!(in_second as u32, governing.worst.count);
            prop_assert_eq!(governing.worst.count, found.sum.count.max(found.cluster.count).max(found.union.count));
        } else {
            prop_assert_eq!(found.sum.count + found.union.count + found.cluster.count, 0);
        }
    }

    /// A flash is counted at its leading edge in a half-open second: f per second gives ceil(f).
    #[test]
    fn a_regular_train_counts_its_rate_rounded_up_at_any_duty(
        period in 2_i64..2000,
        duty_percent in 5_i64..=95,
    ) {
        let on = (period * duty_percent / 100).clamp(1, period - 1);
        let found = judge(&train_of(1000, period, on));
        let wanted = u32::try_from((1000 + period - 1) / period).unwrap();
        prop_assert_eq!(found.sum.count, wanted);
        prop_assert_eq!(found.n(), wanted);
        prop_assert_eq!(found.span4_ticks, Some(3 * period));
    }
}

/// One white lamp, on for `on` of every `period` ticks.
fn train_of(second: i64, period: i64, on: i64) -> OwnedScene {
    OwnedScene {
        second,
        extent: Extent::Cyclic { period },
        times: vec![0, on],
        chromaticities: vec![Chromaticity::D65],
        values: vec![1, 0],
        reference: None,
        luminance_cd_m2_per_light: None,
        ambient: None,
    }
}

/// ITU-R BT.1702-3, Annex 1: leading edges 334 ms apart (60 Hz) are acceptable.
#[test]
fn a_period_of_334_ms_passes_three_a_second_and_333_ms_fails() {
    let passes = judge(&train_of(1000, 334, 20));
    assert_eq!((passes.n(), passes.band.band.name()), (3, "LIMIT"));
    assert!(passes.has_no_timing_margin);
    let fails = judge(&train_of(1000, 333, 20));
    assert_eq!((fails.n(), fails.band.band.name()), (4, "ELEVATED"));
    assert!(!fails.has_no_timing_margin);
    // 1020 ms over three flashes is the full margin of 2 %.
    assert!(!judge(&train_of(1000, 340, 20)).has_no_timing_margin);
    assert!(judge(&train_of(3000, 1019, 20)).has_no_timing_margin);
}

#[test]
fn two_units_at_2_hz_give_two_or_four_and_never_more_than_their_sum() {
    let unit = train_of(1000, 500, 250);
    let alone = judge(&unit);
    let bound = free_running_bound(&[&alone, &alone], &Settings::default());
    assert_eq!(bound.n, 4);
    for phase in 0..500 {
        let both = OwnedScene::together(&[&unit, &unit.delayed(phase)], 120_000).unwrap();
        let union = judge(&both).union.count;
        // 1000 / 30 ms is 33.3 ms: within it the onsets are one.
        let wanted = if (34..=466).contains(&phase) { 4 } else { 2 };
        assert_eq!(union, wanted, "{phase} ms");
        assert!(judge(&both).n() <= bound.n, "{phase} ms");
    }
}

#[test]
fn the_search_finds_the_alignment_that_reaches_the_bound() {
    let units = [
        train_of(1000, 500, 100),
        train_of(1000, 400, 50),
        train_of(1000, 1000, 400),
    ];
    let units: Vec<&OwnedScene> = units.iter().collect();
    let alone: Vec<Screening> = units.iter().map(|unit| judge(unit)).collect();
    let alone: Vec<&Screening> = alone.iter().collect();
    let bound = free_running_bound(&alone, &Settings::default());
    assert_eq!(bound.n, 2 + 3 + 1);
    let found = worst_alignment(&units, &Settings::default(), 120_000).unwrap();
    assert_eq!(found.screening.n(), 6);
    assert_eq!(found.delays.len(), 3);
}

#[test]
fn onsets_merge_at_exactly_a_thirtieth_of_a_second_and_not_after() {
    let unit = train_of(300, 150, 75);
    let union = |phase| {
        let both = OwnedScene::together(&[&unit, &unit.delayed(phase)], 36_000).unwrap();
        judge(&both).union.count
    };
    assert_eq!(union(10), 2);
    assert_eq!(union(11), 4);
}

#[test]
fn a_steady_ambient_light_lowers_the_contrast_and_can_be_entered() {
    use lampwright_analysis::screening::Ambient;
    let mut scene = train_of(1000, 250, 125);
    assert_eq!(judge(&scene).sum.count, 4);
    scene.ambient = Some(Ambient {
        light: 9,
        chromaticity: Chromaticity::D65,
    });
    // 9 to 10: the darker state is not below 80 % of the peak.
    assert_eq!(judge(&scene).sum.count, 0);
    assert_eq!(judge(&scene).cluster.count, 4);
}

#[test]
fn a_weak_fast_cluster_is_listed_apart() {
    let slow = OwnedScene {
        values: vec![95, 0],
        ..train_of(1000, 1000, 500)
    };
    let fast = OwnedScene {
        values: vec![5, 0],
        ..train_of(1000, 100, 50)
    };
    let found = judge(&OwnedScene::together(&[&slow, &fast], 120_000).unwrap());
    assert_eq!(found.n(), 1);
    let weak: Vec<(usize, u32)> = found
        .weak_fast_clusters
        .iter()
        .map(|weak| (weak.cluster, weak.per_second))
        .collect();
    assert_eq!(weak, [(1, 10)]);
}

/// A ripple from 80 to 100 % of its own peak is no flash alone, but it is over the other's dark.
#[test]
fn an_alignment_that_goes_beyond_the_sum_raises_the_bound() {
    let ripple = OwnedScene {
        values: vec![100, 80],
        ..train_of(1000, 100, 50)
    };
    let slow = OwnedScene {
        values: vec![100, 0],
        ..train_of(1000, 1000, 500)
    };
    let settings = Settings::default();
    let bound = free_running_bound(&[&judge(&ripple), &judge(&slow)], &settings);
    assert_eq!(bound.n, 1);
    let found = worst_alignment(&[&ripple, &slow], &settings, 120_000).unwrap();
    assert!(found.screening.n() > bound.n);
    let raised = bound.with_alignment(&found.screening, &settings);
    assert_eq!(raised.n, found.screening.n());
    assert_eq!(raised.band.band, found.screening.band.band);
}

/// 35 and 35 a second may be 35 to 70: the band of the sum alone would make no statement.
#[test]
fn a_bound_above_the_range_still_shows_the_most_adverse_band_below_it() {
    let unit = judge(&train_of(1000, 29, 10));
    assert_eq!(unit.n(), 35);
    let bound = free_running_bound(&[&unit, &unit], &Settings::default());
    assert_eq!((bound.n, bound.band.band.name()), (70, "ABOVE-RANGE"));
    assert_eq!(bound.most_adverse.name(), "FAST");
}

/// In the red state only saturated states are kept: a pink that is far from the dark, and itself
/// not saturated, must not make the dark that follows end the red state.
#[test]
fn only_saturated_states_are_kept_while_red() {
    let blue = chromaticity(2);
    let amber = chromaticity(1);
    let pink = Chromaticity::new(4874, 2091).unwrap();
    let red = chromaticity(0);
    assert!(!pink.is_saturated_red() && pink.is_far_from(Chromaticity::D65));
    assert!(amber.is_saturated_red() && !pink.is_far_from(amber));
    // Blue, amber, pink, dark, red, 100 ms each.
    let places = [(blue, 0), (amber, 1), (pink, 2), (red, 4)];
    let values = places
        .iter()
        .flat_map(|(_, lit)| (0..5).map(|cell| i64::from(cell == *lit)));
    let scene = OwnedScene {
        extent: Extent::Cyclic { period: 500 },
        times: vec![0, 100, 200, 300, 400],
        chromaticities: places.iter().map(|place| place.0).collect(),
        values: values.collect(),
        ..train_of(1000, 500, 100)
    };
    // One red flash in 500 ms, from amber to blue; not two.
    assert_eq!(judge(&scene).red_sum.count, 2);
}
