//! First hit, any hit, nearest point.
