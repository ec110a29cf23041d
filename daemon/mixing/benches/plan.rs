//! Planning a set of premixes four levels deep: 40 jars of 60 ingredients, and ten times as many jars.
//!
//! The goals are 10 ms and 1 s.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::plan::plan;
use tarehand_mixing::recipe::Settings;
use tarehand_mixing::set::check;

const RAW: usize = 60;
const PREMIXES_OF_A_LEVEL: usize = 6;
const LEVELS: usize = 3;

fn recipe(name: &str, parts: &[(String, usize)]) -> String {
    let mut text = format!("[recipe]\nname = \"{name}\"\n");
    for (add, amount) in parts {
        text += &format!("[[step]]\nadd = \"{add}\"\namount = \"{amount} parts\"\n");
    }
    text + "[[step]]\nstir = \"40 s\"\n[[step]]\nrest = \"10 min\"\n"
}

/// Three levels of premixes and the jars above them; every mix takes raw ingredients and premixes of the level below.
fn set(jars: usize) -> (Source, Sources) {
    let mut shelf = String::new();
    for raw in 0..RAW {
        shelf += &format!(
            "[ingredient.raw-{raw}]\ndensity = \"1.{raw:02} g/ml\"\nstock = \"900 g\"\nprice = \"12 EUR per 500 g\"\n"
        );
    }
    let mut sources = Sources::new().with_shelf(Source::new("shelf.toml", shelf));
    let below = |level: usize, seed: usize| {
        let mut parts: Vec<(String, usize)> = (0..5)
            .map(|nth| (format!("raw-{}", (seed * 7 + nth * 13) % RAW), 3 + nth))
            .collect();
        if 0 < level {
            let premix =
                |nth: usize| format!("mix-{}-{}", level - 1, (seed + nth) % PREMIXES_OF_A_LEVEL);
            parts.extend((0..2).map(|nth| (premix(nth), 20 + nth)));
        }
        parts
    };
    for level in 0..LEVELS {
        for nth in 0..PREMIXES_OF_A_LEVEL {
            let stem = format!("mix-{level}-{nth}");
            let text = recipe(&stem, &below(level, nth));
            sources = sources.with_recipe(stem.clone(), Source::new(stem, text));
        }
    }
    let mut text =
        "[set]\nname = \"Bench\"\n[[surface]]\nwidth = \"3 m\"\nheight = \"2 m\"\n".to_owned();
    for jar in 0..jars {
        let stem = format!("jar-{jar}");
        sources = sources.with_recipe(
            stem.clone(),
            Source::new(stem.clone(), recipe(&stem, &below(LEVELS, jar))),
        );
        text += &format!("[[jar]]\nrecipe = \"{stem}\"\nshare = \"1 part\"\n");
    }
    (Source::new("set.toml", text), sources)
}

fn benches(criterion: &mut Criterion) {
    for jars in [40, 400] {
        let (source, sources) = set(jars);
        let checked = check(&source, &sources, &Settings::default());
        let set = checked.set.expect("the set is good");
        criterion.bench_function(&format!("plan/{jars} jars"), |bench| {
            bench.iter(|| plan(black_box(&set), &checked.shelf));
        });
        criterion.bench_function(&format!("read and plan/{jars} jars"), |bench| {
            bench.iter(|| {
                let checked = check(black_box(&source), &sources, &Settings::default());
                plan(&checked.set.expect("the set is good"), &checked.shelf)
            });
        });
    }
}

criterion_group!(all, benches);
criterion_main!(all);
