//! The feed before the cavity.

use super::FillCase;
use crate::fill::drive::Drive;
use crate::fill::feed_channels;
use crate::fill::feed_table::FeedTable;
use crate::process::feed::Feed;
use crate::process::plastic::{Plastic, Unknown};
use crate::settings::Stop;

/// Asks with `feed` before the cavity, full of this plastic, in place of what `drive` has there.
///
/// # Errors
/// When the plastic lacks a value.
pub(super) fn with_feed<T>(
    input: FillCase<'_>,
    feed: &Feed,
    plastic: &Plastic,
    drive: &Drive<'_>,
    ask: impl FnOnce(&Drive<'_>) -> T,
) -> Result<T, Unknown> {
    let table = FeedTable::new(feed, plastic, &input.setup.press)?;
    let take = |flow: f64| feed_loss(&table, input.stop, flow);
    let channels = feed_channels::segments(&feed.mold_links());
    Ok(ask(&Drive { feed: &take, channels: &channels, ..*drive }))
}

/// What the feed costs, Pa; once a stop is asked for nothing flows through it any more, so
/// that every filling ends at its next instant.
pub(super) fn feed_loss(table: &FeedTable, stop: Option<&Stop>, flow: f64) -> f64 {
    let is_shut = flow > 0.0 && stop.is_some_and(Stop::is_asked);
    if is_shut { f64::INFINITY } else { table.at(flow) }
}
