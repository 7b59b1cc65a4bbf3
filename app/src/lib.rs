//! Pipeloft app.
