//! Steps written as `step = [{ … }, { … }]`, made into tables: a table has room for the comments of what was judged.

use toml_edit::{ArrayOfTables, Decor, DocumentMut, InlineTable, Item, RawString, Table, Value};

/// Makes tables of the steps where they stand in an array; every comment stays with its step.
pub(super) fn spread(document: &mut DocumentMut) {
    let Some(array) = document.get("step").and_then(Item::as_array) else {
        return;
    };
    let inline = array.iter().map(Value::as_inline_table);
    let Some(steps) = inline.collect::<Option<Vec<&InlineTable>>>() else {
        return;
    };
    if steps.is_empty() {
        return;
    }
    // What stands before a step: behind the comma of the one before it, and then on lines of its own.
    let gaps = array
        .iter()
        .map(|value| raw(value.decor().prefix()))
        .chain([raw(Some(array.trailing()))]);
    let mut comments = vec![String::new(); steps.len() + 1];
    for (place, gap) in gaps.enumerate() {
        for (line, text) in gap.lines().map(str::trim).enumerate() {
            if text.starts_with('#') {
                let behind = line == 0 && 0 < place;
                let of = if behind { place - 1 } else { place };
                comments[of].push_str(&format!("{text}\n"));
            }
        }
    }
    let above = document
        .key("step")
        .map(|key| raw(key.leaf_decor().prefix()))
        .unwrap_or_default();
    let mut tables = ArrayOfTables::new();
    for (place, (step, comments)) in steps.into_iter().zip(&comments).enumerate() {
        let mut table = table(step);
        let above = if place == 0 { above.trim_start() } else { "" };
        *table.decor_mut() = Decor::new(format!("\n{above}{comments}"), "");
        tables.push(table);
    }
    let behind = comments.pop().unwrap_or_default();
    document.remove("step");
    document.insert("step", Item::ArrayOfTables(tables));
    if !behind.is_empty() {
        let trailing = format!("{behind}{}", raw(Some(document.trailing())));
        document.set_trailing(trailing);
    }
}

/// Makes a table of a step, a field a line.
fn table(step: &InlineTable) -> Table {
    let mut table = Table::new();
    for (key, value) in step {
        let mut value = value.clone();
        value.decor_mut().clear();
        table.insert(key, Item::Value(value));
        if let Some(mut key) = table.key_mut(key) {
            let room = 7_usize.saturating_sub(key.get().len()).max(1);
            key.leaf_decor_mut().set_suffix(" ".repeat(room));
        }
    }
    table
}

fn raw(text: Option<&RawString>) -> String {
    text.and_then(RawString::as_str)
        .unwrap_or_default()
        .to_owned()
}
