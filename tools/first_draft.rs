//! Prints the passes that come with the page: `cargo run --example first-draft > static/first-draft.json`.

use leadbar::app::{first, planning};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let ask = first::ask().ok_or("the first song can't be read")?;
    println!("{}", serde_json::to_string(&planning::plan(&ask)?)?);
    Ok(())
}
