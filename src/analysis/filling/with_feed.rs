//! The feed before the cavity.

use super::FillCase;
use crate::fill::drive::Drive;
use crate::fill::feed_channels;
use crate::fill::feed_table::FeedTable;
use crate::process::feed::Feed;
use crate::process::plastic::{Plastic, Unknown};

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
    let take = |flow: f64| table.at(flow);
    let channels = feed_channels::segments(&feed.mold_links());
    Ok(ask(&Drive { feed: &take, channels: &channels, ..*drive }))
}
