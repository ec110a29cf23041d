//! A card as JSON-LD: a `HowTo` of schema.org, for other programs.

use std::time::Duration;

use serde_json::{Map, Value, json};
use tarehand_protocol::Mass;

use super::Country;
use super::kitchen::measures;
use super::parts::Parts;
use super::set_card::{JarCard, PremixCard, SetCard};
use super::set_words;
use super::value::{Card, CardStep, Caution, Line, Made, Portion};
use super::words;

/// Gram, in the codes of UN/ECE Recommendation 20 that schema.org asks for.
const GRAM: &str = "GRM";

/// Writes a card as a `HowTo` of schema.org; its premixes are its parts.
#[must_use]
pub fn json_ld(card: &Card, country: Option<Country>) -> Value {
    let mut how = how_to(card, &card.premixes, country);
    how.insert("@context".to_owned(), json!("https://schema.org"));
    if !card.premixes.is_empty() {
        let parts = card
            .premixes
            .iter()
            .map(|premix| Value::Object(how_to(premix, &premix.premixes, country)));
        how.insert("hasPart".to_owned(), parts.collect());
    }
    Value::Object(how)
}

/// Writes the card of a set as a `HowTo` of schema.org; its premixes and its jars are its parts.
#[must_use]
pub fn set_json_ld(card: &SetCard, country: Option<Country>) -> Value {
    let premixes: Vec<Card> = card
        .premixes
        .iter()
        .map(|premix| premix.card.clone())
        .collect();
    let jars = card.jars.iter().map(|jar| &jar.card);
    let parts = premixes
        .iter()
        .chain(jars)
        .map(|part| Value::Object(how_to(part, &premixes, country)));
    let supplies = card.premixes.iter().map(premix_supply);
    let supplies = supplies.chain(card.jars.iter().map(|jar| jar_supply(card, jar)));
    let steps = card.work.iter().zip(1..).map(|(line, position)| {
        let said = CardStep {
            text: line.text.clone(),
            note: None,
            time: Some(line.takes),
        };
        step(&said, position)
    });
    json!({
        "@context": "https://schema.org",
        "@type": "HowTo",
        "@id": id(&card.key),
        "name": card.name,
        "description": set_description(card, country),
        "yield": quantity(card.total()),
        "supply": supplies.collect::<Value>(),
        "step": steps.collect::<Value>(),
        "totalTime": duration(card.takes),
        "hasPart": parts.collect::<Value>(),
    })
}

fn set_description(card: &SetCard, country: Option<Country>) -> String {
    let mut sentences = set_words::head(card);
    sentences.push(set_words::basis(card));
    let order = set_words::order(card).join(", ");
    sentences.push(format!("{}: {order}", set_words::ORDER));
    sentences.extend(country.map(words::measures_basis));
    sentences.push("times are estimates, rests overlapping".to_owned());
    sentences.extend(card.warnings.iter().cloned());
    sentences.extend(cautions(&card.cautions));
    sentences.push(words::SAFETY.trim_end_matches('.').to_owned());
    format!("{}.", sentences.join(". "))
}

fn cautions(cautions: &[Caution]) -> impl Iterator<Item = String> {
    cautions
        .iter()
        .map(|caution| format!("{} ({})", caution.text, caution.about.join(", ")))
}

fn premix_supply(premix: &PremixCard) -> Value {
    part_supply(&premix.card, &set_words::premix(premix))
}

fn jar_supply(card: &SetCard, jar: &JarCard) -> Value {
    let said = match &jar.share {
        Some(share) => format!(
            "{} percent by {} of what the surface takes",
            words::percent(share),
            card.basis.word()
        ),
        None => "made in these grams whatever the surface is".to_owned(),
    };
    part_supply(&jar.card, &said)
}

fn part_supply(card: &Card, said: &str) -> Value {
    json!({
        "@type": "HowToSupply",
        "name": card.name,
        "requiredQuantity": quantity(card.total),
        "description": said,
        "item": {"@id": id(&card.key)},
    })
}

fn how_to(card: &Card, premixes: &[Card], country: Option<Country>) -> Map<String, Value> {
    let steps = card
        .steps
        .iter()
        .zip(1..)
        .map(|(step, position)| self::step(step, position));
    let parts = parts(card);
    let parts = parts.into_iter().map(Some).chain(std::iter::repeat(None));
    let supplies = card
        .lines
        .iter()
        .zip(parts)
        .map(|(line, parts)| supply(premixes, line, parts, country));
    let tools = card
        .tools
        .iter()
        .map(|tool| json!({"@type": "HowToTool", "name": tool}));
    let mut how = Map::new();
    let mut set = |key: &str, value: Value| how.insert(key.to_owned(), value);
    set("@type", json!("HowTo"));
    set("@id", json!(id(&card.key)));
    set("name", json!(card.name));
    set("description", json!(description(card, country)));
    set("yield", quantity(card.total));
    set("supply", supplies.collect());
    set("tool", tools.collect());
    set("step", steps.collect());
    if let Made::Batch { mark, day, .. } = &card.made {
        set("identifier", json!(mark));
        set("dateCreated", json!(day));
    }
    let time = card.time();
    if !time.is_zero() {
        set("totalTime", json!(duration(time)));
    }
    how
}

fn description(card: &Card, country: Option<Country>) -> String {
    let mut sentences = words::head(card);
    if card.inside().next().is_some() {
        let shares: Vec<_> = card
            .inside()
            .filter_map(|line| line.portion.share().cloned())
            .collect();
        sentences.push(words::basis(&Parts::of(&shares)));
    }
    sentences.extend(country.map(words::measures_basis));
    if !card.time().is_zero() {
        sentences.push("times count stirring and resting, not weighing".to_owned());
    }
    sentences.extend(card.happened.iter().cloned());
    sentences.extend(cautions(&card.cautions));
    sentences.push(words::SAFETY.trim_end_matches('.').to_owned());
    format!("{}.", sentences.join(". "))
}

/// Returns the parts of the lines inside the ratio, which stand first.
fn parts(card: &Card) -> Vec<String> {
    let shares: Vec<_> = card
        .inside()
        .filter_map(|line| line.portion.share().cloned())
        .collect();
    words::parts(&Parts::of(&shares))
}

fn supply(
    premixes: &[Card],
    line: &Line,
    parts: Option<String>,
    country: Option<Country>,
) -> Value {
    let mut said = Vec::new();
    if let Some(share) = line.portion.share() {
        said.push(format!("{} {}", words::percent(share), words::BASIS));
        said.extend(parts.map(|parts| format!("{parts} parts")));
    } else {
        said.push("outside the ratio".to_owned());
    }
    said.extend(measures(line, country));
    if let Some(planned) = &line.planned {
        said.push(format!("planned: {}", words::portion(planned)));
    }
    said.extend(line.later.as_deref().map(words::later));
    // The vocabulary has no word for what may replace a supply, so it is said in its description.
    if !line.stand_ins.is_empty() {
        said.push(format!(
            "where it is not to be had: {}",
            line.stand_ins.join(", or ")
        ));
    }
    let mut supply = Map::new();
    supply.insert("@type".to_owned(), json!("HowToSupply"));
    supply.insert("name".to_owned(), json!(line.name));
    let quantity = match &line.portion {
        Portion::Share { mass, .. } | Portion::Beside(mass) => Some(quantity(*mass)),
        Portion::Range { low, high } => Some(between(Some(*low), Some(*high))),
        Portion::Thinning { at_most, .. } => Some(between(None, *at_most)),
        Portion::ByEye | Portion::Whole { .. } => None,
    };
    if !matches!(line.portion, Portion::Share { .. } | Portion::Beside(_)) {
        said.push(words::portion(&line.portion));
    }
    supply.extend(quantity.map(|quantity| ("requiredQuantity".to_owned(), quantity)));
    supply.insert("description".to_owned(), json!(said.join("; ")));
    if premixes.iter().any(|premix| premix.key == line.key) {
        supply.insert("item".to_owned(), json!({"@id": id(&line.key)}));
    }
    Value::Object(supply)
}

fn quantity(mass: Mass) -> Value {
    json!({"@type": "QuantitativeValue", "value": grams(mass), "unitCode": GRAM})
}

fn between(low: Option<Mass>, high: Option<Mass>) -> Value {
    let mut value = json!({"@type": "QuantitativeValue", "unitCode": GRAM});
    if let Some(low) = low {
        value["minValue"] = json!(grams(low));
    }
    if let Some(high) = high {
        value["maxValue"] = json!(grams(high));
    }
    value
}

/// Returns grams to the milligram: what a scale shows, and no digit of a calculation.
fn grams(mass: Mass) -> f64 {
    mass.rounded_to(Mass::from_milligrams(1)).grams()
}

fn step(step: &CardStep, position: u32) -> Value {
    let mut direction = json!({"@type": "HowToDirection", "text": step.text});
    if let Some(time) = step.time {
        direction["performTime"] = json!(duration(time));
    }
    let mut items = vec![direction];
    items.extend(
        step.note
            .as_ref()
            .map(|note| json!({"@type": "HowToTip", "text": note})),
    );
    json!({
        "@type": "HowToStep",
        "position": position,
        "itemListElement": items,
    })
}

/// Writes a duration as ISO 8601 does: `PT1H30M20S`.
fn duration(time: Duration) -> String {
    let (hours, minutes, seconds) = (
        time.as_secs() / 3_600,
        time.as_secs() / 60 % 60,
        time.as_secs() % 60,
    );
    let mut text = "PT".to_owned();
    if 0 < hours {
        text.push_str(&format!("{hours}H"));
    }
    if 0 < minutes {
        text.push_str(&format!("{minutes}M"));
    }
    let micros = time.subsec_micros();
    if 0 < micros {
        let fraction = format!("{micros:06}");
        text.push_str(&format!("{seconds}.{}S", fraction.trim_end_matches('0')));
    } else if 0 < seconds || text == "PT" {
        text.push_str(&format!("{seconds}S"));
    }
    text
}

/// Returns the name of a card within its document: a fragment that no sign can break.
fn id(key: &str) -> String {
    let mut id = "#".to_owned();
    for byte in key.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'.') {
            id.push(char::from(byte));
        } else {
            id.push_str(&format!("%{byte:02X}"));
        }
    }
    id
}

#[cfg(test)]
mod tests {
    use super::*;

    // ISO 8601: P, T before the time, each unit behind its number.
    #[test]
    fn durations_are_those_of_iso_8601() {
        let check = |millis: u64, expect: &str| {
            assert_eq!(duration(Duration::from_millis(millis)), expect);
        };
        check(20_000, "PT20S");
        check(90_000, "PT1M30S");
        check(8 * 3_600_000, "PT8H");
        check(2_500, "PT2.5S");
        check(0, "PT0S");
    }

    #[test]
    fn an_id_is_a_fragment_whatever_the_key() {
        assert_eq!(id("slow-medium"), "#slow-medium");
        assert_eq!(id("a b/ü"), "#a%20b%2F%C3%BC");
    }
}
