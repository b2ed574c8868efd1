//! How an audit is shown: one renderer a file.
