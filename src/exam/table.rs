//! Reading a TOML table field by field, with spans, collecting every fault.
