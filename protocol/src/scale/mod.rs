//! How the bytes of a scale become readings.
