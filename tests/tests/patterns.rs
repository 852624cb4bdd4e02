//! The demo programs and the pattern library: readable, printed as the writer prints, and saying the truth about themselves.
//!
//! Every figure that a text in `patterns/` states is measured here again.
//! Absent: whether the invented vehicles would please any real rule; their numbers are invented.

#![cfg(not(target_arch = "wasm32"))]
#![expect(clippy::expect_used, reason = "a test may stop at the first surprise")]

use lampwright_analysis::facts::TimingFacts;
use lampwright_analysis::light::DirectionTable;
use lampwright_analysis::report::{FoundIn, Verdict};
use lampwright_analysis::rules::{CheckSettings, RULES, rule};
use lampwright_analysis::screening::{
    Band, Cell, Chromaticity, Lane as ScreenedLane, MAX_PERIOD_SECONDS, OwnedScene,
    Settings as ScreeningSettings, Workspace, screen,
};
use lampwright_analysis::{check, check_state, contexts};
use lampwright_formats::{read_pattern, read_profile, read_program, write_pattern, write_program};
use lampwright_model::{
    Action, Beam, Color, Must, Pattern, Program, RuleCode, Severity, State, Zone,
};
use lampwright_timing::{Micros, Waveform};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../patterns")
}

/// Name without ending, and text, of every JSON file directly in a folder, by name.
fn files(folder: &Path) -> Vec<(String, String)> {
    let mut files: Vec<(String, String)> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "json"))
        .map(|path| {
            let name = path.file_stem().expect("a name").to_string_lossy().into();
            (name, std::fs::read_to_string(&path).expect("UTF-8 text"))
        })
        .collect();
    files.sort();
    files
}

fn program_of(name: &str, text: &str) -> Program {
    let outcome = read_program(text.as_bytes());
    assert_eq!(outcome.problems, [], "{name}");
    outcome.program.expect("a program")
}

fn programs() -> Vec<(String, Program)> {
    files(&folder())
        .into_iter()
        .map(|(name, text)| {
            let program = program_of(&name, &text);
            (name, program)
        })
        .collect()
}

fn clean_programs() -> Vec<(String, Program)> {
    let mut programs = programs();
    programs.retain(|(name, _)| !name.starts_with("faulty-"));
    programs
}

fn program(name: &str) -> Program {
    programs()
        .into_iter()
        .find(|(known, _)| known == name)
        .map(|(_, program)| program)
        .expect("a program of that name")
}

fn library() -> Vec<(String, Pattern, String)> {
    files(&folder().join("library"))
        .into_iter()
        .map(|(name, text)| {
            let outcome = read_pattern(text.as_bytes());
            assert_eq!(outcome.problems, [], "{name}");
            (name, outcome.pattern.expect("a pattern"), outcome.about)
        })
        .collect()
}

#[test]
fn every_program_is_stored_as_the_writer_prints_it() {
    let files = files(&folder());
    assert!(files.len() >= 4);
    for (name, text) in files {
        let written = write_program(&program_of(&name, &text));
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            let path = folder().join(name).with_extension("json");
            std::fs::write(path, written).expect("the file is written");
        } else {
            assert!(written == text, "{name}");
        }
    }
}

#[test]
fn every_library_pattern_is_stored_as_the_writer_prints_it() {
    let files = files(&folder().join("library"));
    assert!(files.len() >= 20, "{} patterns", files.len());
    for (name, text) in files {
        let outcome = read_pattern(text.as_bytes());
        assert_eq!(outcome.problems, [], "{name}");
        let pattern = outcome.pattern.expect("a pattern");
        assert!(write_pattern(&pattern, &outcome.about) == text, "{name}");
        assert_eq!(pattern.id.as_str(), name);
    }
}

#[test]
fn clean_programs_have_no_findings_at_warning_or_above() {
    let programs = clean_programs();
    assert!(programs.len() >= 3);
    for (name, program) in programs {
        let report = check(&program);
        assert_eq!(report.profile_problems, [], "{name}");
        let grave: Vec<String> = report
            .findings
            .iter()
            .filter(|finding| finding.severity >= Severity::Warning)
            .map(|finding| format!("{} at {}: {}", finding.code, finding.place, finding.message))
            .collect();
        assert_eq!(grave, [""; 0], "{name}");
        assert_eq!(program.waivers, [], "{name} is clean without waivers");
        assert!(report.n_rules_chosen >= 15, "{name}");
        for choice in &program.profile.rules {
            let outcome = report.outcome(choice.code).expect("an outcome");
            assert!(
                !matches!(outcome.verdict, Verdict::NotEvaluated { .. }),
                "{name}: {} {:?}",
                choice.code,
                outcome.verdict
            );
        }
    }
}

/// The rule codes a text names.
fn announced(text: &str) -> BTreeSet<RuleCode> {
    text.match_indices("LW")
        .filter_map(|(at, _)| text.get(at..at + 5)?.parse().ok())
        .collect()
}

#[test]
fn the_faulty_program_trips_exactly_what_it_announces() {
    let faulty: Vec<_> = programs()
        .into_iter()
        .filter(|(name, _)| name.starts_with("faulty-"))
        .collect();
    assert_eq!(faulty.len(), 1);
    for (name, program) in faulty {
        let tripped: BTreeSet<RuleCode> = check(&program)
            .findings
            .iter()
            .filter(|finding| finding.counts())
            .map(|finding| finding.code)
            .collect();
        assert_eq!(tripped, announced(&program.about), "{name}");
        assert!(tripped.len() >= 15, "{name} trips {}", tripped.len());
    }
}

/// A family is a shipped profile: each gathers the rules of one family of sources.
#[test]
fn the_faulty_program_trips_a_rule_of_every_family_and_every_group() {
    let program = programs()
        .into_iter()
        .find(|(name, _)| name.starts_with("faulty-"))
        .expect("the faulty program")
        .1;
    let tripped: BTreeSet<RuleCode> = check(&program)
        .findings
        .iter()
        .map(|finding| finding.code)
        .collect();
    let families = files(&folder().join("profiles"));
    assert!(families.len() >= 20, "{} families", families.len());
    for (name, text) in families {
        let profile = read_profile(text.as_bytes()).profile.expect("a profile");
        let is_tripped = profile
            .rules
            .iter()
            .any(|choice| tripped.contains(&choice.code));
        assert!(is_tripped, "nothing of {name}");
    }
    let group_of = |code| rule(code).map(|rule| rule.meta().group);
    let groups: BTreeSet<_> = tripped.iter().copied().filter_map(group_of).collect();
    let all: BTreeSet<_> = RULES.iter().map(|rule| rule.meta().group).collect();
    assert_eq!(groups, all);
}

/// A tenth of the light's own peak: where light counts as off, so that a high and low has a rate.
///
/// The tenth is the one UN R65 is said to use (from memory, weak).
fn lit_above(course: &Waveform) -> i64 {
    course.maximum() / 10
}

/// Dark gap that closes a flash (SAE J595 and J845, from memory).
const CLOSING_GAP: Micros = Micros(160_000);

fn courses(pattern: &Pattern) -> Vec<Waveform> {
    pattern
        .lanes
        .iter()
        .map(|lane| {
            let pulses = lane
                .pulses
                .iter()
                .map(|pulse| (pulse.start, pulse.length, pulse.level.per_mille()));
            Waveform::from_pulses(pattern.period, pulses).expect("a lane")
        })
        .collect()
}

/// The numbers in "Rate: 1.25 Hz, 75 per minute."
fn stated_rate(about: &str) -> Option<(f64, i64)> {
    let line = about.lines().find_map(|line| line.strip_prefix("Rate: "))?;
    let (hertz, rest) = line.split_once(" Hz, ")?;
    let per_minute = rest.strip_suffix(" per minute.")?;
    Some((hertz.parse().ok()?, per_minute.parse().ok()?))
}

#[test]
fn every_library_pattern_flashes_at_the_rate_it_states() {
    for (name, pattern, about) in library() {
        let Some((hertz, per_minute)) = stated_rate(&about) else {
            assert!(about.contains("Rate: steady, no flashes."), "{name}");
            assert!(
                courses(&pattern).iter().all(Waveform::is_constant),
                "{name}"
            );
            continue;
        };
        assert!((hertz * 60.0 - per_minute as f64).abs() < 1e-9, "{name}");
        if let Some(named) = name.strip_suffix("-per-minute") {
            let number = named.rsplit('-').next().expect("a number");
            assert_eq!(number.parse(), Ok(per_minute), "{name}");
        }
        for (lane, course) in pattern.lanes.iter().zip(courses(&pattern)) {
            let timing = TimingFacts::above(&course, lit_above(&course));
            let rate = timing.flashes(CLOSING_GAP).rate().expect("a rate");
            assert_eq!(
                rate.flashes as i64 * 60_000_000,
                per_minute * rate.period.0,
                "{name} lane {}",
                lane.role
            );
        }
    }
}

#[test]
fn a_flash_has_as_many_pulses_as_its_name_says() {
    let mut n_named = 0;
    for (name, pattern, _) in library() {
        let words = [("single", 1), ("double", 2), ("triple", 3), ("quad", 4)];
        let Some((_, n_pulses)) = words
            .into_iter()
            .find(|(word, _)| name.contains(&format!("{word}-flash")))
        else {
            continue;
        };
        n_named += 1;
        for course in courses(&pattern) {
            let flashes = TimingFacts::of(&course).flashes(CLOSING_GAP);
            assert!(
                flashes.list.iter().all(|flash| flash.pulses == n_pulses),
                "{name}"
            );
        }
    }
    assert!(n_named >= 20);
}

/// Which side a lane's role belongs to; numbered roles count from the left.
fn side_of(role: &str, last_number: u32) -> &'static str {
    match role.parse::<u32>() {
        Ok(number) if 2 * number <= last_number => "left",
        Ok(_) => "right",
        Err(_) if role.starts_with("left") => "left",
        Err(_) if role.starts_with("right") => "right",
        Err(_) => "center",
    }
}

/// Flashes in the worst second with all lanes in view, equally strong.
fn worst_second(pattern: &Pattern) -> u32 {
    let numbers = pattern
        .lanes
        .iter()
        .filter_map(|lane| lane.role.as_str().parse::<u32>().ok());
    // An arrow that leaves elements out still has ten.
    let last_number = match numbers.max() {
        Some(7 | 9 | 10) => 10,
        _ => 8,
    };
    let mut clusters: BTreeMap<(&str, Option<Color>), usize> = BTreeMap::new();
    let mut lanes = Vec::new();
    for (lane, course) in pattern.lanes.iter().zip(courses(pattern)) {
        let color = lane.pulses.first().and_then(|pulse| pulse.color);
        let next = clusters.len();
        let cluster = *clusters
            .entry((side_of(lane.role.as_str(), last_number), color))
            .or_insert(next);
        let cells: Vec<Cell> = course
            .pieces()
            .map(|(interval, level)| Cell {
                duration: interval.length.0,
                level,
            })
            .collect();
        lanes.push((cluster, cells));
    }
    let lanes: Vec<ScreenedLane<'_>> = lanes
        .iter()
        .map(|(cluster, cells)| ScreenedLane {
            cluster: *cluster,
            weight: 1,
            offset: 0,
            cells,
        })
        .collect();
    let second = 1_000_000;
    let scene = OwnedScene::from_lanes(
        second,
        None,
        second * MAX_PERIOD_SECONDS,
        &vec![Chromaticity::D65; clusters.len()],
        &lanes,
    )
    .expect("a scene");
    screen(
        &scene.as_scene(),
        &ScreeningSettings::default(),
        &mut Workspace::default(),
    )
    .expect("screened")
    .n()
}

/// Names say what the light does; a word outside this list is looked at by a person before it is added.
#[test]
fn names_of_library_patterns_are_plain_words() {
    const WORDS: &str = "a all alternating and arrow both build caution corners double eight elements ends \
        fill flash flashing four from full glow half headlamps high in inward left lit long \
        low middle minute on other outward over per percent quad right sequence short side \
        sides single slow steady step sweep ten the to triple turn white with";
    for (name, pattern, _) in library() {
        for word in pattern
            .label
            .split(|letter: char| !letter.is_alphanumeric())
            .filter(|word| !word.is_empty() && word.parse::<u32>().is_err())
        {
            assert!(
                WORDS
                    .split(' ')
                    .any(|known| known.eq_ignore_ascii_case(word)),
                "{name}: {word}"
            );
        }
    }
}

#[test]
fn every_library_pattern_states_its_worst_second() {
    for (name, pattern, about) in library() {
        let n = worst_second(&pattern);
        let word = if n == 1 { "flash" } else { "flashes" };
        let stated = format!("Worst second, all lanes in view: {n} {word}.");
        assert!(
            about.contains(&stated),
            "{name}: measured {n}, says {about}"
        );
        assert_eq!(about.contains("That is above three"), n > 3, "{name}");
    }
}

#[test]
fn arrow_patterns_keep_the_arrow_board_band() {
    // 25 to 40 per minute, every lamp lit at least half of the time: Florida DOT specification 990-3.3 (g), (h), citing the MUTCD, second-hand.
    let arrows: Vec<_> = library()
        .into_iter()
        .filter(|(name, ..)| name.starts_with("arrow-"))
        .collect();
    assert!(arrows.len() >= 7);
    for (name, pattern, about) in arrows {
        let (_, per_minute) = stated_rate(&about).expect("a rate");
        assert!((25..=40).contains(&per_minute), "{name}");
        for course in courses(&pattern) {
            assert!(2 * course.time_above(0).0 >= course.period().0, "{name}");
        }
    }
}

/// A fixed scatter of states that can happen, among them many without a name.
fn scattered_states(program: &Program, n: usize) -> Vec<State> {
    let mut seed: u64 = 12_345;
    let mut states = Vec::new();
    while states.len() < n {
        let mut state = State::default_of(program);
        for signal in &program.signals {
            // Knuth's 64-bit linear congruential generator (from memory); only its spread matters.
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let value = usize::try_from(seed >> 33).expect("31 bits") % signal.values.len();
            state = state.with(program, &signal.id, &signal.values[value]);
        }
        let can_happen = !program
            .impossible
            .iter()
            .any(|impossible| state.meets_alternative(program, impossible));
        if can_happen {
            states.push(state);
        }
    }
    states
}

#[test]
fn clean_programs_hold_in_states_without_a_name_too() {
    let settings = CheckSettings::default();
    for (name, program) in clean_programs() {
        let table = DirectionTable::new(&program.vehicle, settings.light);
        for state in scattered_states(&program, 60) {
            let (context, report) =
                check_state(&program, FoundIn::DefaultState, &state, &table, &settings);
            let words = state.describe(&program);
            for direction in &context.screened.directions {
                let result = direction.result.as_ref().as_ref().expect("screened");
                assert!(result.n() <= 3 && result.n_red() <= 3, "{name}: {words}");
                assert!(
                    result
                        .band()
                        .is_none_or(|band| matches!(band, Band::Low | Band::Limit)),
                    "{name}: {words}"
                );
            }
            assert_eq!(report.n_at_least(Severity::Warning), 0, "{name}: {words}");
        }
    }
}

#[test]
fn one_output_never_has_to_do_two_things_at_once() {
    for (name, program) in clean_programs() {
        let named = program
            .situations
            .iter()
            .map(|situation| State::of_situation(&program, situation));
        for state in named.chain(scattered_states(&program, 200)) {
            let drive = lampwright_model::resolve(&program, &state);
            let mut courses = BTreeMap::new();
            for (head, played) in program.vehicle.heads.iter().zip(&drive.heads) {
                for (emitter, played) in head.emitters.iter().zip(&played.emitters) {
                    let output = emitter.output.clone().expect("an output");
                    let first = courses.entry(output.clone()).or_insert(&played.level);
                    assert_eq!(
                        *first,
                        &played.level,
                        "{name}: output {output}, {}",
                        state.describe(&program)
                    );
                }
            }
        }
    }
}

#[test]
fn every_guarantee_speaks_of_a_reviewed_state() {
    for (name, program) in programs() {
        let contexts = contexts(&program, &CheckSettings::default());
        for guarantee in &program.guarantees {
            let speaks = contexts
                .iter()
                .any(|context| context.drive.state.meets(&program, &guarantee.when));
            assert!(speaks, "{name}: {}", guarantee.id);
        }
    }
}

#[test]
fn every_signal_has_a_control_and_every_layer_acts_in_some_state() {
    for (name, program) in clean_programs() {
        for signal in &program.signals {
            for value in &signal.values {
                let is_set = program.controls.iter().any(|control| {
                    control.positions.iter().any(|position| {
                        position
                            .sets
                            .iter()
                            .any(|(set, to)| *set == signal.id && to == value)
                    })
                });
                assert!(is_set, "{name}: {} {value}", signal.id);
            }
        }
        let acting: BTreeSet<_> = program
            .situations
            .iter()
            .map(|situation| State::of_situation(&program, situation))
            .chain(scattered_states(&program, 400))
            .flat_map(|state| lampwright_model::resolve(&program, &state).heads)
            .filter_map(|head| match head.decided_by {
                lampwright_model::Decision::Layer(layer) => Some(layer),
                lampwright_model::Decision::Nothing => None,
            })
            .collect();
        for layer in &program.layers {
            assert!(acting.contains(&layer.id), "{name}: {}", layer.id);
        }
    }
}

#[test]
fn the_incident_support_van_has_what_a_long_demo_needs() {
    let program = program("incident-support-van");
    let vehicle = &program.vehicle;
    assert!((40..=56).contains(&vehicle.heads.len()));
    let arrow = vehicle
        .heads
        .iter()
        .filter(|head| head.tags.iter().any(|tag| tag == "arrow"));
    assert!(arrow.clone().all(|head| head.zone() == Zone::C));
    assert_eq!(arrow.count(), 10);
    let of_colors = |n: usize| {
        vehicle
            .heads
            .iter()
            .filter(move |head| head.emitters.len() == n)
            .collect::<Vec<_>>()
    };
    assert!(of_colors(2).len() >= 8 && of_colors(3).len() >= 4);
    let steady_white = program.layers.iter().any(|layer| {
        matches!(&layer.action, Action::Hold { heads, color: Some(Color::White), .. }
            if program.heads_of(heads).iter().any(|head| vehicle.heads[*head].emitters.len() > 1))
    });
    assert!(steady_white);
    assert!(program.situations.len() >= 10);
    assert!(!program.dims.is_empty() && !program.impossible.is_empty());
    assert!(
        vehicle
            .heads
            .iter()
            .any(|head| matches!(head.beam, Some(Beam::Table { .. })))
    );
    for wanted in [
        Must::BeDark,
        Must::BeSteady,
        Must::Alternate,
        Must::ShowNever(vec![Color::White]),
    ] {
        assert!(
            program
                .guarantees
                .iter()
                .any(|guarantee| guarantee.must == wanted),
            "{wanted:?}"
        );
    }
}

#[test]
fn the_rescue_tender_has_two_heads_that_drift_at_the_rear() {
    let program = program("rescue-tender");
    let drifting: Vec<_> = program
        .vehicle
        .heads
        .iter()
        .filter(|head| head.clock.is_some())
        .collect();
    assert_eq!(drifting.len(), 2);
    assert_ne!(drifting[0].clock, drifting[1].clock);
    assert!(drifting.iter().all(|head| head.zone() == Zone::C));
    // Even the fastest clock the tolerance allows keeps a second between two onsets, so that one second never holds two.
    let period = program
        .patterns
        .iter()
        .find(|pattern| pattern.id.as_str() == "own-rhythm")
        .expect("their pattern")
        .period;
    for clock in &program.vehicle.clocks {
        assert!(clock.tolerance_ppm > 0);
        let shortest = period.0 * (1_000_000 - i64::from(clock.tolerance_ppm)) / 1_000_000;
        assert!(shortest >= 1_000_000, "{shortest} microseconds");
    }
}
