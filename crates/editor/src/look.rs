//! What is looked at: viewport, shown state, preview, save state, theme.

use crate::edits::{Done, Outcome};
use crate::{Action, EditorState, SaveState, Shown};
use lampwright_timing::Micros;
use std::rc::Rc;

impl EditorState {
    pub(crate) fn look(&mut self, action: Action) -> Done {
        match action {
            Action::Resize {
                width_px,
                height_px,
            } if width_px.is_finite() && height_px.is_finite() => {
                let was_fitted = self.is_fitted() || self.has_spare_room();
                self.viewport.width_px = width_px.max(1.0);
                self.viewport.height_px = height_px.max(1.0);
                if was_fitted {
                    self.zoom_to_fit();
                }
            }
            Action::ZoomAbout { x_px, factor } => {
                let period = self.open_pattern().map(|pattern| pattern.period);
                self.viewport = match period {
                    Some(period) => self.viewport.zoomed_within(x_px, factor, period),
                    None => self.viewport.zoomed_about(x_px, factor),
                };
            }
            Action::Pan { dx_px, dy_px } => self.viewport = self.viewport.panned(dx_px, dy_px),
            Action::SetViewport(viewport) => self.viewport = viewport.or(&self.viewport),
            Action::ZoomToFit => self.zoom_to_fit(),
            Action::ZoomToSelection => self.zoom_to_selection()?,
            Action::SetSignal(signal, value) => {
                let (_, known) = self
                    .program
                    .signal(&signal)
                    .ok_or_else(|| format!("there is no signal {signal}"))?;
                if !known.values.contains(&value) {
                    return Err(format!("signal {signal} has no value {value}"));
                }
                let text = format!("{} {value}", known.label);
                let shown = self.shown.with(&signal, &value);
                return Ok(self.show_state(shown, text));
            }
            Action::PressControl { control, position } => {
                let shown = self
                    .shown
                    .pressed(&self.program, &control, position)
                    .ok_or_else(|| format!("control {control} has no such position"))?;
                return Ok(self.show_control(shown, &control));
            }
            Action::ReleaseControl(control) => {
                if let Some(shown) = self.shown.released(&self.program, &control) {
                    return Ok(self.show_control(shown, &control));
                }
            }
            Action::ChooseSituation(id) => {
                let shown = Shown::situation(&self.program, &id)
                    .ok_or_else(|| format!("there is no situation {id}"))?;
                let label = self
                    .program
                    .situations
                    .iter()
                    .find(|known| known.id == id)
                    .map_or_else(|| id.to_string(), |known| known.label.clone());
                return Ok(self.show_state(shown, label));
            }
            Action::ShowDefaultState => {
                return Ok(self.show_state(Shown::default(), "All signals at default".into()));
            }
            Action::Play => {
                self.preview.is_playing = self.gesture.is_none();
                return Ok(Outcome::Say("Preview plays".into()));
            }
            Action::Pause { at } => {
                self.preview.is_playing = false;
                self.stay_stopped();
                if let Some(at) = at {
                    self.preview.at = at.max(Micros::ZERO);
                }
                return Ok(Outcome::Say("Preview paused".into()));
            }
            Action::Stop => {
                self.preview.is_playing = false;
                self.stay_stopped();
                self.preview.is_asking_full_speed = false;
                self.preview.at = Micros::ZERO;
                return Ok(Outcome::Say("Preview stopped".into()));
            }
            Action::Seek(at) => self.preview.at = at.max(Micros::ZERO),
            Action::StepPreview(ticks) => {
                let tick = self
                    .open_pattern()
                    .map_or(Micros::from_ms(1), |pattern| pattern.tick);
                let at = self.preview.at + Micros(tick.0.saturating_mul(ticks));
                self.preview.at = self.preview_instant(at);
                return Ok(Outcome::Say(format!("Preview at {}", self.preview.at)));
            }
            Action::LookFrom(projection) => {
                self.preview.projection = projection;
                return Ok(Outcome::Say(format!("Seen: {}", projection.name())));
            }
            Action::StandAt(eye) => {
                self.preview.eye = eye.limited();
                let eye = self.preview.eye;
                return Ok(Outcome::Say(format!(
                    "From {} m at {}°",
                    eye.distance_m, eye.azimuth_degrees
                )));
            }
            Action::SetSlowness(slowness) => {
                self.preview.slowness = slowness.clamp(1, 1000);
            }
            Action::LoopSelection(is_looped) => {
                if is_looped && self.selected_span().is_none() {
                    return Err("select the pulses to play over and over first".into());
                }
                self.preview.is_looped = is_looped;
                self.preview.at = self.preview_instant(self.preview.at);
                return Ok(Outcome::Say(if is_looped {
                    "The selected pulses play over and over".into()
                } else {
                    "The whole program plays".into()
                }));
            }
            Action::AskFullSpeed => {
                if self.preview.has_reduced_motion {
                    return Err(FULL_SPEED_REFUSED.into());
                }
                self.preview.is_playing = false;
                self.preview.is_asking_full_speed = true;
            }
            Action::ConfirmFullSpeed => {
                if self.preview.has_reduced_motion {
                    return Err(FULL_SPEED_REFUSED.into());
                }
                if !self.preview.is_asking_full_speed {
                    return Err("full speed was not asked for".into());
                }
                self.preview.is_asking_full_speed = false;
                self.preview.is_full_speed = true;
                return Ok(Outcome::Say("Full speed for this program".into()));
            }
            Action::UseSafeSpeed => {
                self.preview.is_asking_full_speed = false;
                self.preview.is_full_speed = false;
                return Ok(Outcome::Say("Slowed preview".into()));
            }
            Action::SetReducedMotion(is_set) => {
                self.preview.has_reduced_motion = is_set;
                if is_set {
                    self.preview.is_full_speed = false;
                    self.preview.is_asking_full_speed = false;
                }
            }
            Action::SaveStarted => self.save = SaveState::Saving,
            Action::SaveFinished { revision } => {
                self.save = if revision == self.revision {
                    SaveState::Saved
                } else {
                    SaveState::Unsaved
                };
            }
            Action::SaveFailed { reason } => {
                let text = format!("Not saved: {reason}");
                self.save = SaveState::Failed { reason };
                return Err(text);
            }
            Action::SetTheme(theme) => self.theme = theme,
            Action::DismissNotices => self.notices = Rc::from([]),
            _ => {}
        }
        self.limit_viewport();
        Ok(Outcome::Quiet)
    }

    /// What was stopped in the middle of a gesture does not play on after it.
    fn stay_stopped(&mut self) {
        if let Some(gesture) = self
            .gesture
            .as_deref()
            .filter(|known| known.before.is_playing)
        {
            let mut gesture = gesture.clone();
            gesture.before.is_playing = false;
            self.gesture = Some(Rc::new(gesture));
        }
    }

    fn show_state(&mut self, shown: Shown, text: String) -> Outcome {
        if shown.state(&self.program) == self.shown_state() {
            self.shown = shown;
            return Outcome::Say(text);
        }
        let was_played = self.plays_open_pattern();
        self.shown = shown;
        self.results = Rc::default();
        // A pattern that has just stopped playing gives way to one that plays; one that was only looked at stays.
        if was_played
            && !self.plays_open_pattern()
            && let Some(id) = self.first_pattern_played()
            && self.show_pattern(&id).is_ok()
            && self.plays_open_pattern()
            && let Some(pattern) = self.open_pattern()
        {
            return Outcome::Say(format!("{text}, now pattern {}", pattern.label));
        }
        Outcome::Say(text)
    }

    /// Whether the open pattern drives a head in the shown state.
    fn plays_open_pattern(&self) -> bool {
        let driven = self.driven();
        self.open_pattern().is_some_and(|pattern| {
            pattern.lanes.iter().any(|lane| {
                !driven
                    .heads_of_lane(Some(&pattern.id), &lane.role)
                    .is_empty()
            })
        })
    }

    fn show_control(&mut self, shown: Shown, id: &lampwright_model::ControlId) -> Outcome {
        let text = self
            .program
            .controls
            .iter()
            .find(|known| known.id == *id)
            .map_or_else(String::new, |control| {
                let position = shown
                    .position_of(&self.program, control)
                    .and_then(|index| control.positions.get(index))
                    .map_or("", |position| position.label.as_str());
                format!("{} {position}", control.label)
            });
        self.show_state(shown, text)
    }

    pub(crate) fn zoom_to_fit(&mut self) {
        if let Some(period) = self.open_pattern().map(|pattern| pattern.period) {
            self.viewport = self.viewport.fitted_to(Micros::ZERO, period);
        }
        self.limit_viewport();
    }

    fn is_fitted(&self) -> bool {
        self.open_pattern().is_none_or(|pattern| {
            let fitted = self.viewport.fitted_to(Micros::ZERO, pattern.period);
            (fitted.us_per_px - self.viewport.us_per_px).abs() <= 1e-6 * fitted.us_per_px
                && (fitted.start_us - self.viewport.start_us).abs() <= fitted.us_per_px
        })
    }

    /// Whether a shown period leaves no more room than a fitted one, wherever it stands.
    fn has_spare_room(&self) -> bool {
        self.open_pattern().is_some_and(|pattern| {
            let fitted = self.viewport.fitted_to(Micros::ZERO, pattern.period);
            self.viewport.sees_all_of(pattern.period)
                && self.viewport.us_per_px <= 1.05 * fitted.us_per_px
        })
    }

    fn zoom_to_selection(&mut self) -> Result<(), String> {
        let (from, to) = self.selected_span().ok_or("no pulse is selected")?;
        let margin = Micros((to - from).0 / 10);
        self.viewport = self.viewport.fitted_to(from - margin, to + margin);
        Ok(())
    }

    pub(crate) fn limit_viewport(&mut self) {
        let (period, n_lanes) = self.open_pattern().map_or((Micros::ZERO, 0), |pattern| {
            (pattern.period, pattern.lanes.len())
        });
        self.viewport = self.viewport.limited_to(period, n_lanes);
    }
}

const FULL_SPEED_REFUSED: &str = "full speed is off because this system asks for reduced motion";
