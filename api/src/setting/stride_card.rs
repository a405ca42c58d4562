//! A card for the gate: how a horse's normal stride is counted in three minutes, and what each count comes to.
use super::lengths::Lengths;
use crate::access::file::File;
use crate::access::read::Look;
use crate::barns::rows;
use crate::labels::Words;
use crate::problem::Problem;
use crate::problem::table::Kind;
use askama::Template;
use stridewright_core::stride::{CountedRide, Feel, Profile, StrideError, counted_stride, counting_distance};

/// What a count comes to where it felt tight, by itself, or long; crossed out where no such horse is likely.
struct Row {
    count: u32,
    strides: [Option<String>; 3],
}

#[derive(Template)]
#[template(path = "stride_card.html")]
struct Page {
    language: &'static str,
    barn: String,
    poles: &'static str,
    who: &'static str,
    apart: String,
    rows: Vec<Row>,
    tape: String,
}

/// Counts that come up: nobody's horse needs fewer over these poles, or more.
const COUNTS: std::ops::RangeInclusive<u32> = 4..=7;

/// The card in the barn's units and words.
pub fn card(look: &mut Look<'_>, profile: Option<Profile>) -> Result<File, Problem> {
    let internal = || Problem::new(Kind::Internal);
    let barn = look.who.barn_id;
    let row = rows::find(look.conn(), barn)?.ok_or_else(internal)?;
    let (profile, lengths, words) = (profile.unwrap_or(Profile::Horse), Lengths(row.units.0), Words::of(row.labels.0));
    let page = page(profile, lengths, words, row.name).map_err(|_| internal())?;
    page.render().map(File::html).map_err(|_| internal())
}

fn page(profile: Profile, lengths: Lengths, words: &Words, barn: String) -> Result<Page, StrideError> {
    let stride = profile.design_stride();
    let apart = counting_distance(stride)?;
    let of = |count: u32, feel: Feel| -> Result<Option<String>, StrideError> {
        let counted = counted_stride(stride, apart, &[CountedRide { n: count, feel }])?;
        Ok((!counted.implausible).then(|| lengths.line(counted.stride)))
    };
    let rows = COUNTS.map(|count| {
        Ok(Row { count, strides: [of(count, Feel::Tight)?, of(count, Feel::Fits)?, of(count, Feel::Long)?] })
    });
    Ok(Page {
        language: words.language,
        barn,
        poles: words.poles,
        who: match profile {
            Profile::Horse => "a horse",
            Profile::LargePony => "a large pony",
            Profile::MediumPony => "a medium pony",
            Profile::SmallPony => "a small pony",
        },
        apart: lengths.line(apart),
        rows: rows.collect::<Result<_, StrideError>>()?,
        tape: lengths.line(stridewright_core::units::Metres::nearest(3.0 * stride.get())),
    })
}
