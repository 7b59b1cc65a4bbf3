pub(in crate::sheet) mod samples;
