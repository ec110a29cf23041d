//! Who stands beside a bench: sees what it shows and asks for what a person asks for, through the API.

use std::time::Duration;

use serde_json::{Value, json};
use tarehand_protocol::Mass;

use crate::{Answer, Client, Events, LIMIT, wait_for};

/// The bench of the whole-program tests.
const BENCH: &str = "/v1/benches/bench";

/// Returns the mass of so many grams, as the program tells them.
///
/// # Panics
/// When it is no number.
#[must_use]
#[track_caller]
pub fn micrograms(grams: &Value) -> i64 {
    let grams = grams.as_f64().expect("grams are a number");
    Mass::from_estimated_grams(grams).micrograms()
}

/// Returns a step of a view by its number.
///
/// # Panics
/// When the view has no such step.
#[must_use]
pub fn step_of<'a>(view: &'a Value, number: &Value) -> &'a Value {
    let mut steps = view["steps"].as_array().unwrap().iter();
    steps
        .find(|step| step["step"] == *number)
        .expect("the step of `doing` is among the steps")
}

/// What is still to be poured of the running step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The number of the step.
    pub step: Value,
    /// The ingredient.
    pub ingredient: String,
    /// How much is missing, in micrograms.
    pub ug: i64,
}

/// One who looks at a bench; panics in words when what is waited for does not come.
#[derive(Clone, Debug)]
pub struct Onlooker {
    client: Client,
    limit: Duration,
}

impl Onlooker {
    /// Looks at the bench of the service that this client reaches.
    #[must_use]
    pub const fn new(client: Client) -> Self {
        Self {
            client,
            limit: LIMIT,
        }
    }

    /// Waits for so long at most, where [`LIMIT`] is not enough.
    #[must_use]
    pub fn patient(self, limit: Duration) -> Self {
        Self { limit, ..self }
    }

    /// Attaches the scale of this request, as `mix` does.
    #[track_caller]
    pub fn attach(&self, request: &Value) {
        let path = format!("{BENCH}/scale");
        let _view = self.client.put(&path, request).with_status(200);
    }

    /// Opens a batch of a recipe that uses no other.
    #[track_caller]
    pub fn open_batch(&self, name: &str, text: &str) -> Answer {
        let body = json!({"recipe": name, "recipes": {name: text}, "size": "as-written"});
        let path = format!("{BENCH}/batch");
        self.client.post(&path, &body).with_status(200)
    }

    /// Says something to the bench.
    pub fn say(&self, command: &Value) -> Answer {
        self.client.post(&format!("{BENCH}/commands"), command)
    }

    /// Returns the view as it is now.
    #[must_use]
    #[track_caller]
    pub fn view(&self) -> Value {
        self.client.get(BENCH).with_status(200).json()
    }

    /// Returns the stream of what happens at the bench.
    #[must_use]
    #[track_caller]
    pub fn events(&self) -> Events {
        self.client.events(&format!("{BENCH}/events"))
    }

    /// Waits for a view; the newest comes first.
    #[track_caller]
    pub fn wait<T>(&self, what: &str, look: impl FnMut(&Value) -> Option<T>) -> T {
        // Until the bench is made there is nothing to look at.
        wait_for("the bench", self.limit, || {
            (self.client.get(BENCH).status == 200).then_some(())
        });
        self.events().wait_for(what, "view", self.limit, look)
    }

    /// Waits for a weight that `look` finds something in.
    #[track_caller]
    pub fn wait_weight<T>(&self, what: &str, look: impl FnMut(&Value) -> Option<T>) -> T {
        self.events().wait_for(what, "weight", self.limit, look)
    }

    /// Waits until the scale is heard, and returns what is said of it.
    #[track_caller]
    pub fn wait_open(&self) -> Value {
        self.wait("the scale to be heard", |view| {
            (view["scale"]["open"] == true).then(|| view["scale"].clone())
        })
    }

    /// Waits until this is said to be wrong with the scale, and returns what to do about it.
    #[track_caller]
    pub fn wait_trouble(&self, said: &str) -> String {
        self.wait(&format!("`{said}` to be said"), |view| {
            let scale = &view["scale"];
            let trouble = scale["trouble"].as_str()?;
            let closed = scale["open"] == false && trouble.contains(said);
            closed.then(|| scale["hint"].as_str().unwrap_or_default().to_owned())
        })
    }

    /// Waits until all on the pan weighs so much.
    #[track_caller]
    pub fn wait_gross(&self, gross_g: f64) {
        self.wait_weight(&format!("{gross_g} g"), |weight| {
            let near = (weight["gross_g"].as_f64()? - gross_g).abs() < 0.06;
            near.then_some(())
        });
    }

    /// Waits until the running step has received so much, settled.
    #[track_caller]
    pub fn wait_settled(&self, net_g: f64) {
        self.wait_weight(&format!("{net_g} g settled"), |weight| {
            let near = (weight["net_g"].as_f64()? - net_g).abs() < 0.15;
            (weight["settled"] == true && near).then_some(())
        });
    }

    /// Waits until this is to be done, and returns the view.
    #[track_caller]
    pub fn wait_doing(&self, what: &str) -> Value {
        self.wait(&format!("`{what}` to be done"), |view| {
            (view["doing"]["what"] == what).then(|| view.clone())
        })
    }

    /// Waits until a question of this kind is asked, and returns it.
    #[track_caller]
    pub fn wait_asked(&self, about: &str) -> Value {
        self.wait(&format!("the question about `{about}`"), |view| {
            let question = &view["question"];
            (question["about"] == about).then(|| question.clone())
        })
    }

    /// Waits until a step has its verdict.
    #[track_caller]
    pub fn wait_done(&self, step: &Value) {
        self.wait("the verdict", |view| {
            (step_of(view, step)["status"] == "done").then_some(())
        });
    }

    /// Waits until something is to be poured, and returns it; `None` when the batch is complete.
    #[track_caller]
    pub fn wait_wanted(&self) -> Option<Wanted> {
        let view = self.wait("a pour or the end", |view| {
            let what = view["doing"]["what"].as_str()?;
            matches!(what, "pour" | "complete").then(|| view.clone())
        });
        (view["doing"]["what"] == "pour").then(|| wanted(&view))
    }

    /// Returns the record of the newest batch.
    #[must_use]
    #[track_caller]
    pub fn record(&self) -> Value {
        let list: Value = self.client.get("/v1/batches").with_status(200).json();
        let mark = list["batches"][0]["mark"].as_str().unwrap();
        let path = format!("/v1/batches/{mark}");
        self.client.get(&path).with_status(200).json()
    }
}

/// Returns what a view says is still to be poured.
///
/// # Panics
/// When nothing is.
#[must_use]
pub fn wanted(view: &Value) -> Wanted {
    let doing = &view["doing"];
    let has = &step_of(view, &doing["step"])["poured_g"];
    let has = if has.is_null() { 0 } else { micrograms(has) };
    Wanted {
        step: doing["step"].clone(),
        ingredient: doing["ingredient"].as_str().unwrap().to_owned(),
        ug: micrograms(&doing["target_g"]) - has,
    }
}

/// Returns the kinds of everything that happened in a record, in order.
#[must_use]
pub fn kinds(record: &Value) -> Vec<&str> {
    let entries = record["entries"].as_array().unwrap();
    entries
        .iter()
        .map(|entry| entry["kind"].as_str().unwrap())
        .collect()
}
