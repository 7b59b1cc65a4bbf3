//! Routes between two ports, past everything in the way.
