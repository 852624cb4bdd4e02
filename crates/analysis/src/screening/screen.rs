//! The screening of one direction.

use super::band::{BandReason, FLASH_LIMIT, band_of};
use super::color::Colors;
use super::error::ScreeningError;
use super::scene::{Extent, Scene};
use super::settings::Settings;
use super::train::{Run, Train, Worst};
use super::turning::{Criterion, Moves};
use super::union::Union;

/// What was counted in one direction, and the band that follows.
///
/// Show it only together with [`super::cautions`].
#[derive(Clone, Debug, PartialEq)]
pub struct Screening {
    /// Flashes of the summed light.
    pub sum: Count,
    /// Complete pairs of opposing changes of the sum: a laxer reading, for comparison only.
    pub n_pairs_floor: u32,
    /// Distinct onsets over all clusters.
    pub union: Count,
    /// Flashes of the worst single cluster.
    pub cluster: Count,
    /// That cluster; the first of those that are equally bad.
    pub worst_cluster: Option<usize>,
    /// Flashes of the sum by the absolute criterion of BT.1702-3; `None` without a luminance.
    pub abs: Option<Count>,
    /// What reaches the largest count first, in the order sum, absolute, cluster, union.
    pub governed_by: Governor,
    /// The leading edges of what governs.
    pub governing: Option<GoverningTrain>,
    /// Red flashes of the summed color.
    pub red_sum: Count,
    /// Distinct onsets over the red clusters.
    pub red_union: Count,
    /// Color alternations in the worst second; information.
    pub chroma: u32,
    /// The least time, in ticks, from a leading edge to the third after it, over all trains.
    pub span4_ticks: Option<i64>,
    /// The least time, in ticks, over which three successive leading edges come, in trains above
    /// three in a second; the local rate is two in this time.
    pub burst_ticks: Option<i64>,
    /// The longest run above three in a second, over all trains.
    pub run: Run,
    /// Whether that run lasts 5 s or longer (BT.1702-3 warns of sequences above 5 s).
    pub is_sustained: bool,
    /// Whether the count stays at three only by less than the timing tolerance.
    pub has_no_timing_margin: bool,
    /// The band, and what raised it.
    pub band: BandReason,
    /// Clusters too weak to count that flash more than three times a second by themselves.
    pub weak_fast_clusters: Vec<WeakCluster>,
    /// The reference level used.
    pub reference: i64,
    /// The greatest light of the sum.
    pub light_max: i64,
    /// The least light of the sum.
    pub light_min: i64,
    /// Ticks per second of every time here.
    pub second: i64,
}

/// A count in the worst second.
pub type Count = Worst;

/// What reaches the largest count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Governor {
    /// Nothing flashes.
    #[default]
    None,
    /// The summed light, relative criterion.
    Sum,
    /// The summed light, absolute criterion.
    Abs,
    /// A single cluster.
    Cluster,
    /// The onsets of all clusters together.
    Union,
}

impl Governor {
    /// One lower-case word.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Sum => "sum",
            Self::Abs => "abs",
            Self::Cluster => "cluster",
            Self::Union => "union",
        }
    }

    /// What is counted, in plain words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::None => "nothing flashes",
            Self::Sum => "all light together",
            Self::Abs => "all light together, by its absolute change",
            Self::Cluster => "one color on one side",
            Self::Union => "starts of flashes of all colors and sides",
        }
    }
}

/// The leading edges that govern.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GoverningTrain {
    /// The leading edges in ticks, ascending, within one `period` from 0 if there is one.
    pub onsets: Vec<i64>,
    /// The period in ticks; for dense onsets of several clusters it can be several periods of the
    /// light.
    pub period: Option<i64>,
    /// Whether the edges are rises (else falls).
    pub is_rises: bool,
    /// The count in the worst second and where that second starts.
    pub worst: Worst,
}

/// A cluster below the share that counts which flashes fast by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WeakCluster {
    /// Which cluster.
    pub cluster: usize,
    /// Its flashes in its worst second, against its own peak.
    pub per_second: u32,
}

impl Screening {
    /// The largest of the counts: flashes in the worst second.
    #[must_use]
    pub fn n(&self) -> u32 {
        let abs = self.abs.map_or(0, |abs| abs.count);
        self.sum
            .count
            .max(self.cluster.count)
            .max(self.union.count)
            .max(abs)
    }

    /// Red flashes in the worst second, the larger of both counts.
    #[must_use]
    pub fn n_red(&self) -> u32 {
        self.red_sum.count.max(self.red_union.count)
    }

    /// Whether a train above three in a second has a burst at [`Settings::burst_from_hz`] or faster.
    #[must_use]
    pub fn is_burst(&self, settings: &Settings) -> bool {
        is_burst(self.burst_ticks, self.second, settings)
    }

    /// Michelson contrast of the sum, 0 to 1; 0 without light.
    #[must_use]
    pub fn michelson(&self) -> f64 {
        let sum = self.light_max + self.light_min;
        if sum == 0 {
            0.0
        } else {
            (self.light_max - self.light_min) as f64 / sum as f64
        }
    }

    /// The largest local rate in Hz over three successive leading edges of trains above three.
    #[must_use]
    pub fn burst_hz(&self) -> Option<f64> {
        self.burst_ticks
            .map(|ticks| 2.0 * self.second as f64 / ticks as f64)
    }

    /// The least time in milliseconds from a leading edge to the third after it.
    #[must_use]
    pub fn span4_ms(&self) -> Option<f64> {
        self.span4_ticks
            .map(|ticks| 1000.0 * ticks as f64 / self.second as f64)
    }
}

/// Memory reused from one direction to the next.
#[derive(Clone, Debug, Default)]
pub struct Workspace {
    luma: Vec<i64>,
    sum: Moves,
    abs: Moves,
    clusters: Vec<ClusterMoves>,
    union: Union,
    red_union: Union,
    colors: Colors,
}

#[derive(Clone, Debug, Default)]
struct ClusterMoves {
    moves: Moves,
    rises: Worst,
    falls: Worst,
    counts: bool,
}

impl ClusterMoves {
    fn count(&self) -> u32 {
        self.rises.count.max(self.falls.count)
    }
}

/// A run above three in a second of this many seconds or more is sustained (BT.1702-3: a sequence
/// of more than 5 s may be a risk even if it complies).
const SUSTAINED_SECONDS: i64 = 5;

/// Screens the light of one direction.
///
/// # Errors
/// What [`Scene::check`] finds.
pub fn screen(
    scene: &Scene<'_>,
    settings: &Settings,
    workspace: &mut Workspace,
) -> Result<Screening, ScreeningError> {
    scene.check()?;
    let (extent, second) = (scene.extent, scene.second);
    let period = extent.period();
    let merge = settings.merge_seconds.floor_of(second);
    let Workspace {
        luma,
        sum,
        abs,
        clusters,
        union,
        red_union,
        colors,
    } = workspace;

    add_up(scene, luma);
    let light_max = luma.iter().copied().max().unwrap_or(0);
    let light_min = luma.iter().copied().min().unwrap_or(0);
    let reference = scene.reference.unwrap_or(light_max);

    find_moves(
        sum,
        scene.times,
        luma,
        extent,
        Criterion::relative(reference),
    );
    let sum_rises = train(&sum.rises, period).worst(second);
    let sum_falls = train(&sum.falls, period).worst(second);
    let sum_count = larger(sum_rises, sum_falls);
    let n_pairs_floor = train(&sum.all, period).worst(second).count / 2;

    let share_at_least = settings.cluster_share.ceil_of(reference);
    let weak_fast_clusters = count_clusters(scene, share_at_least, clusters);
    let n_clusters = scene.chromaticities.len();
    union.start(n_clusters);
    red_union.start(n_clusters);
    let mut cluster_count = Worst::default();
    let mut worst_cluster = None;
    for (place, cluster) in clusters
        .iter()
        .enumerate()
        .filter(|(_, cluster)| cluster.counts)
    {
        let here = larger(cluster.rises, cluster.falls);
        if here.count > cluster_count.count {
            cluster_count = here;
            worst_cluster = Some(place);
        }
        union.add(place, &cluster.moves.rises, period);
        if scene.chromaticities[place].is_red_against_dark() {
            red_union.add(place, &cluster.moves.rises, period);
        }
    }
    union.finish(period, merge, second);
    red_union.finish(period, merge, second);

    let abs_counts = scene.luminance_cd_m2_per_light.map(|luminance| {
        let criterion = Criterion::absolute(luminance);
        find_moves(abs, scene.times, luma, extent, criterion);
        let rises = train(&abs.rises, period).worst(second);
        (rises, train(&abs.falls, period).worst(second))
    });

    let by_cluster = (scene.chromaticities, scene.values);
    colors.show(
        scene.times,
        luma,
        by_cluster,
        scene.ambient,
        reference,
        settings.dark_share,
    );
    let red_sum = colors.red(extent, second);
    let chroma = colors.alternations(extent, second);

    // Every train that bears on the spans, in the order in which they may govern.
    let mut judge = Judge {
        second,
        ..Judge::default()
    };
    judge.add(Governor::Sum, train(&sum.rises, period), sum_rises, true);
    judge.add(Governor::Sum, train(&sum.falls, period), sum_falls, false);
    if let Some((rises, falls)) = abs_counts {
        judge.add(Governor::Abs, train(&abs.rises, period), rises, true);
        judge.add(Governor::Abs, train(&abs.falls, period), falls, false);
    }
    // Of clusters that are equally bad all take part, so that their order plays no part.
    let worst = cluster_count.count.max(1);
    for cluster in clusters.iter().filter(|cluster| cluster.counts) {
        let (rises, falls) = (cluster.rises, cluster.falls);
        if rises.count == worst {
            let rising = train(&cluster.moves.rises, period);
            judge.add(Governor::Cluster, rising, rises, true);
        }
        if falls.count == worst {
            let falling = train(&cluster.moves.falls, period);
            judge.add(Governor::Cluster, falling, falls, false);
        }
    }
    let events = train(&union.events, union.period);
    judge.add(Governor::Union, events, union.worst, true);

    let n_red = red_sum.count.max(red_union.worst.count);
    let is_burst = is_burst(judge.burst, second, settings);
    let n = judge
        .governing
        .as_ref()
        .map_or(0, |governing| governing.worst.count);
    let margin = settings.timing_tolerance;
    let with_margin = i128::from(second) * (i128::from(margin.den()) + i128::from(margin.num()));
    let has_no_timing_margin = judge.span4.is_some_and(|ticks| {
        ticks >= second && i128::from(ticks) * i128::from(margin.den()) < with_margin
    });
    Ok(Screening {
        sum: wrap(sum_count, period),
        n_pairs_floor,
        union: wrap(union.worst, period),
        cluster: wrap(cluster_count, period),
        worst_cluster,
        abs: abs_counts.map(|(rises, falls)| wrap(larger(rises, falls), period)),
        governed_by: judge.governed_by,
        governing: judge.governing,
        red_sum: wrap(red_sum, period),
        red_union: wrap(red_union.worst, period),
        chroma,
        span4_ticks: judge.span4,
        burst_ticks: judge.burst,
        run: judge.run,
        is_sustained: judge.run >= Run::Ticks(SUSTAINED_SECONDS * second),
        has_no_timing_margin,
        band: band_of(n, n_red, is_burst, settings),
        weak_fast_clusters,
        reference,
        light_max,
        light_min,
        second,
    })
}

/// The sum of all clusters and the ambient in each cell.
pub(crate) fn add_up(scene: &Scene<'_>, luma: &mut Vec<i64>) {
    luma.clear();
    luma.resize(
        scene.times.len(),
        scene.ambient.map_or(0, |ambient| ambient.light),
    );
    for cluster in scene.values.chunks_exact(scene.times.len()) {
        for (sum, value) in luma.iter_mut().zip(cluster) {
            *sum += value;
        }
    }
}

fn find_moves(
    moves: &mut Moves,
    times: &[i64],
    values: &[i64],
    extent: Extent,
    criterion: Criterion,
) {
    match extent {
        Extent::Cyclic { period } => {
            let peak = values.iter().copied().max();
            let peak_at = values
                .iter()
                .position(|value| Some(*value) == peak)
                .unwrap_or(0);
            moves.find_cyclic(times, values, period, peak_at, criterion);
        }
        Extent::Once { .. } => moves.find_once(times, values, criterion),
    }
}

/// Counts each cluster against its own peak; returns the weak ones that flash fast.
fn count_clusters(
    scene: &Scene<'_>,
    share_at_least: i64,
    clusters: &mut Vec<ClusterMoves>,
) -> Vec<WeakCluster> {
    clusters.resize_with(scene.chromaticities.len(), ClusterMoves::default);
    let period = scene.extent.period();
    let mut weak_fast = Vec::new();
    let values = scene.values.chunks_exact(scene.times.len());
    for (place, (values, cluster)) in values.zip(clusters.iter_mut()).enumerate() {
        let peak = values.iter().copied().max().unwrap_or(0);
        let moves = &mut cluster.moves;
        find_moves(
            moves,
            scene.times,
            values,
            scene.extent,
            Criterion::relative(peak),
        );
        cluster.rises = train(&moves.rises, period).worst(scene.second);
        cluster.falls = train(&moves.falls, period).worst(scene.second);
        cluster.counts = peak >= share_at_least;
        if !cluster.counts && cluster.count() > FLASH_LIMIT {
            weak_fast.push(WeakCluster {
                cluster: place,
                per_second: cluster.count(),
            });
        }
    }
    weak_fast
}

/// Whether two in `ticks` reach the rate from which a burst counts.
fn is_burst(ticks: Option<i64>, second: i64, settings: &Settings) -> bool {
    let from_hz = i128::from(settings.burst_from_hz);
    ticks.is_some_and(|ticks| 2 * i128::from(second) >= from_hz * i128::from(ticks))
}

fn train(times: &[i64], period: Option<i64>) -> Train<'_> {
    Train { times, period }
}

fn larger(rises: Worst, falls: Worst) -> Worst {
    if falls.count > rises.count {
        falls
    } else {
        rises
    }
}

fn wrap(worst: Worst, period: Option<i64>) -> Worst {
    let starts_at = match period {
        Some(period) => worst.starts_at.map(|time| time.rem_euclid(period)),
        None => worst.starts_at,
    };
    Worst { starts_at, ..worst }
}

/// Gathers what all trains say together.
#[derive(Default)]
struct Judge {
    second: i64,
    governed_by: Governor,
    governing: Option<GoverningTrain>,
    span4: Option<i64>,
    burst: Option<i64>,
    run: Run,
}

impl Judge {
    fn add(&mut self, governor: Governor, train: Train<'_>, worst: Worst, is_rises: bool) {
        let so_far = self
            .governing
            .as_ref()
            .map_or(0, |governing| governing.worst.count);
        if worst.count > so_far {
            let mut onsets = train.times.to_vec();
            if let Some(period) = train.period {
                for time in &mut onsets {
                    *time = time.rem_euclid(period);
                }
                onsets.sort_unstable();
            }
            self.governed_by = governor;
            let worst = wrap(worst, train.period);
            self.governing = Some(GoverningTrain {
                onsets,
                period: train.period,
                is_rises,
                worst,
            });
        }
        self.span4 = least(self.span4, train.span(3));
        if worst.count > FLASH_LIMIT {
            self.burst = least(self.burst, train.span(2));
        }
        if self.run < Run::Continuous {
            self.run = self.run.max(train.run(self.second));
        }
    }
}

fn least(a: Option<i64>, b: Option<i64>) -> Option<i64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (one, other) => one.or(other),
    }
}
