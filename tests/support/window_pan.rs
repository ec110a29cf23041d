//! A radio scale of nobody's in particular, as every double of one speaks.

/// What it calls itself.
pub const NAME: &str = "Window pan";
/// The service it offers.
pub const SERVICE: &str = "6f1d9a40-52c7-4be3-9a18-c3d07e5b21f4";
/// The characteristic that tells the weight.
pub const WEIGHT: &str = "6f1d9a41-52c7-4be3-9a18-c3d07e5b21f4";
/// The characteristic that is written to.
pub const COMMAND: &str = "6f1d9a42-52c7-4be3-9a18-c3d07e5b21f4";
/// What has to be written before it tells anything.
pub const START: &str = "GO";

/// Returns what it sends for a weight: a mark, and tenths of a gram.
///
/// # Panics
/// When the weight is beyond what four bytes hold.
#[must_use]
pub fn encode(gross_ug: i64) -> Vec<u8> {
    let tenths = i32::try_from((gross_ug + 50_000).div_euclid(100_000)).unwrap();
    let mut bytes = vec![1];
    bytes.extend(tenths.to_le_bytes());
    bytes
}

/// Returns a profile that reads it, with these words of how it is reached.
#[must_use]
pub fn profile(bluetooth: &str) -> String {
    format!(
        "name = \"window pan\"\nunit = \"g\"\ndivision = \"0.1 g\"\n\
         [binary]\nframes = \"packets\"\nlength = 5\nstart = '\\x01'\n\
         [binary.weight]\nat = 1\nlength = 4\norder = \"little\"\nform = \"signed\"\nfactor = \"0.1\"\n\
         [bluetooth]\n{bluetooth}"
    )
}

/// Returns the words of how it is reached where it streams once it is told to.
#[must_use]
pub fn own() -> String {
    format!(
        "name = \"{NAME}\"\nservice = \"{SERVICE}\"\ncharacteristic = \"{WEIGHT}\"\n\
         start = '{START}'\nto = \"{COMMAND}\"\n"
    )
}
