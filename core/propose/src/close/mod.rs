//! The pieces that close the gap between a tacked pipe and its hardpoint.
