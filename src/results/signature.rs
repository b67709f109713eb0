//! The examiner's detached signature over a result.
