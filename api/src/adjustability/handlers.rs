//! The addresses of adjustability, of a horse and of a pair.
use super::progress::Progress;
use super::wire::{
    AdjustabilityOut, AdjustabilityQuery, AdjustabilityRatio, RangeEnd, RangeWeek, RidableCount, WeeklyChange,
};
use crate::access::guard::{Entity, May, Read};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::horses;
use crate::horses::handlers::HorseKey;
use crate::horses::pairings::{PairingKey, rows as pairings};
use crate::horses::rows::HorseRow;
use crate::problem::Problem;
use crate::problem::table::Kind;
use diesel::QueryResult;
use stridewright_core::adjustability::{End, Range, Ratio, Trend, Verdict};
use stridewright_core::calendar::Day;
use stridewright_core::ids::{Id, Person};
use stridewright_core::policy::{Relation, Resource};
use stridewright_core::stride::{Line, StrideRange, asks, required_stride};
use stridewright_core::units::{Metres, Percent, Probability};

/// A horse under all its riders.
pub struct HorseProgress(pub HorseRow);

impl Entity for HorseProgress {
    const NAME: &'static str = "horse_progress";
    const RESOURCE: Resource = Resource::Workload;
    type Key = HorseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseKey) -> QueryResult<Option<Self>> {
        Ok(horses::rows::find(c, key.barn_id, key.horse_id)?.map(Self))
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.0.id)
    }
}

/// A horse under one rider.
pub struct PairProgress(pub HorseRow, pub Id<Person>);

impl Entity for PairProgress {
    const NAME: &'static str = "pair_progress";
    const RESOURCE: Resource = Resource::PairProgress;
    type Key = PairingKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &PairingKey) -> QueryResult<Option<Self>> {
        let Some(pairing) = pairings::find(c, key.barn_id, key.horse_id, key.pairing_id)? else { return Ok(None) };
        Ok(horses::rows::find(c, key.barn_id, key.horse_id)?.map(|horse| Self(horse, pairing.rider_id)))
    }

    fn relation(&self, who: &Standing) -> Relation {
        Relation { own: who.is_own(self.1), ..who.to_horse(self.0.id) }
    }
}

/// The day of the question, which is not one to come.
pub fn day(asked: Option<Day>, today: Day) -> Result<Day, Problem> {
    match asked {
        Some(day) if day > today => Err(Problem::at_odds("?as_of", "must not lie in the future")),
        asked => Ok(asked.unwrap_or(today)),
    }
}

/// The adjustability of a horse.
///
/// Its range with how sure it is, whether it changes, and week by week, from every ride that was asked a count.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/adjustability",
    params(HorseKey, AdjustabilityQuery),
    responses((status = 200, description = "How adjustable the horse is.", body = AdjustabilityOut)))]
pub async fn horse(
    may: May<HorseProgress, Read>,
    query: Query<AdjustabilityQuery>,
) -> Result<Reply<AdjustabilityOut>, Problem> {
    may.read_with(query, |look, horse, query| {
        let who = look.who;
        let as_of = day(query.as_of, who.today(look.now))?;
        Ok(Reply::ok(&show(&Progress::load(look.conn(), &who.zone, horse.0, None, as_of)?, &query)?))
    })
    .await
}

/// The adjustability of a pair.
///
/// What the horse does under others, widened by what a rider changes, and what it did under this one.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/pairings/{pairing_id}/adjustability",
    params(PairingKey, AdjustabilityQuery),
    responses((status = 200, description = "How adjustable the pair is.", body = AdjustabilityOut)))]
pub async fn pair(
    may: May<PairProgress, Read>,
    query: Query<AdjustabilityQuery>,
) -> Result<Reply<AdjustabilityOut>, Problem> {
    may.read_with(query, |look, pair, query| {
        let who = look.who;
        let as_of = day(query.as_of, who.today(look.now))?;
        Ok(Reply::ok(&show(&Progress::load(look.conn(), &who.zone, pair.0, Some(pair.1), as_of)?, &query)?))
    })
    .await
}

fn end(end: &End) -> RangeEnd {
    let [low_m, high_m] = end.band_m;
    RangeEnd { stride_m: end.stride_m, stride_text: end.stride_m.into(), low_m, high_m, assumed: end.assumed }
}

fn ratio(ratio: &Ratio) -> AdjustabilityRatio {
    let [low, high] = ratio.band;
    AdjustabilityRatio { value: ratio.value, low, high, assumed: ratio.assumed }
}

fn change(trend: &Trend) -> WeeklyChange {
    let (percent, [low, high]) = trend.percent_per_week();
    let percent_of = Percent::nearest;
    WeeklyChange { percent: percent_of(percent), low_percent: percent_of(low), high_percent: percent_of(high) }
}

fn show(progress: &Progress, query: &AdjustabilityQuery) -> Result<AdjustabilityOut, Problem> {
    let (range, trend) = (progress.range(), progress.trend());
    let mut cautions = Vec::new();
    if trend.verdict == Verdict::Declining {
        cautions.push("A sudden decline is a reason to look for its cause with the vet.");
    }
    if matches!(trend.verdict, Verdict::Declining | Verdict::Improving) {
        cautions.push("One week's verdict is no reason to act: some steady horses show one by chance.");
    }
    let height = query.height_cm.map(|height| height.0.metres());
    let counts = query.distance_m.map(|distance| {
        let height = height.unwrap_or(Metres::nearest(1.0));
        counts(progress, &range, &Line { distance: distance.0.whole(), first: height, second: height })
    });
    Ok(AdjustabilityOut {
        as_of: progress.as_of,
        normal_stride: progress.normal.clone(),
        short_end: end(&range.short_end()),
        long_end: end(&range.long_end()),
        ratio: ratio(&range.ratio()),
        verdict: trend.verdict,
        verdict_words: trend.verdict.words(),
        change_per_week: change(&trend),
        declined_on: (trend.verdict == Verdict::Improving).then(|| progress.decline_before()).flatten(),
        attempts: range.attempts(),
        days: progress.days(),
        weeks: progress
            .weeks()
            .iter()
            .map(|week| RangeWeek {
                as_of: week.as_of,
                short_end: end(&week.short_end),
                long_end: end(&week.long_end),
                ratio: ratio(&week.ratio),
            })
            .collect(),
        counts: counts.transpose()?,
        cautions,
    })
}

/// The counts whose stride lies within the range.
fn counts(progress: &Progress, range: &Range, line: &Line) -> Result<Vec<RidableCount>, Problem> {
    let internal = |_| Problem::new(Kind::Internal);
    let ends = StrideRange::new(range.short_end().stride_m, range.long_end().stride_m).map_err(internal)?;
    let mut counts = Vec::new();
    for ask in asks(line, ends, progress.profile_stride).map_err(internal)? {
        let stride = required_stride(line, ask.n, progress.profile_stride, Probability::MIN).map_err(internal)?;
        let Some((stride, stretch)) = stride.and_then(|s| Some((s, range.stretch(s)?))) else { continue };
        counts.push(RidableCount {
            count: ask.n,
            stride_m: stride,
            stride_text: stride.into(),
            chance: range.chance(stretch),
            cautious_chance: range.cautious_chance(stretch),
        });
    }
    Ok(counts)
}
