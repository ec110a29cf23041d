//! What whoever calls may do.

use axum::http::Method;
use serde::{Deserialize, Serialize};

/// What a visitor was let in for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Looks on and changes nothing.
    Viewer,
    /// Works at the bench.
    Operator,
}

/// What is only worked out from the request, and from the record: nothing is changed by it.
const COMPUTED: [&str; 9] = [
    "/v1/labels",
    "/v1/recipes/check",
    "/v1/recipes/size",
    "/v1/recipes/rescue",
    "/v1/recipes/share",
    "/v1/sets/plan",
    "/v1/sets/share",
    "/v1/shelf/drawn",
    "/v1/shelf/stock",
];

/// Who sends a request.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Caller {
    /// Nobody known.
    Stranger,
    /// A visitor who was let in.
    Visitor(Role),
    /// Who runs the service.
    Owner,
}

impl Caller {
    /// Returns whether this caller may do this.
    #[must_use]
    pub fn may(self, method: &Method, path: &str) -> bool {
        let looks = matches!(*method, Method::GET | Method::HEAD);
        let at_the_door = path == "/v1/page/enter" && *method == Method::POST;
        let page = !path.starts_with("/v1/") && looks;
        if page || at_the_door {
            return true;
        }
        match self {
            Self::Stranger => false,
            Self::Owner => true,
            // Who is let in and when the service ends is the owner's alone.
            Self::Visitor(_) if path == "/v1/stop" || path == "/v1/page" => false,
            // The record as a file, and batches that were not made here, are the owner's.
            Self::Visitor(_) if path.starts_with("/v1/log") => false,
            Self::Visitor(_) if path == "/v1/batches" => looks,
            // Whoever names a folder reads and writes it.
            Self::Visitor(_) if path == "/v1/folder" => looks,
            // A capture is a scale too: naming one would read any file of the owner's.
            Self::Visitor(_) if path.ends_with("/scale") => looks,
            // Whoever looks on may hear it too; it changes nothing.
            Self::Visitor(_) if path == "/v1/page/voice" => looks || *method == Method::POST,
            Self::Visitor(_) if path.starts_with("/v1/page/") => path == "/v1/page/me" && looks,
            Self::Visitor(Role::Operator) => true,
            Self::Visitor(Role::Viewer) => {
                looks || (COMPUTED.contains(&path) && *method == Method::POST)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_caller_may_do_what_it_is_there_for_and_no_more() {
        let bench = "/v1/benches/main/commands";
        let table = [
            // Method, path, and whether a stranger, a viewer, an operator and the owner may.
            ("GET", "/", [true, true, true, true]),
            ("GET", "/page/beam.js", [true, true, true, true]),
            ("POST", "/", [false, false, true, true]),
            ("POST", "/v1/page/enter", [true, true, true, true]),
            ("GET", "/v1/page/me", [false, true, true, true]),
            ("GET", "/v1/page/voice", [false, true, true, true]),
            ("POST", "/v1/page/voice", [false, true, true, true]),
            ("DELETE", "/v1/page/voice", [false, false, false, true]),
            ("GET", "/v1/page", [false, false, false, true]),
            ("PUT", "/v1/page", [false, false, false, true]),
            ("POST", "/v1/page/codes", [false, false, false, true]),
            ("DELETE", "/v1/page/visitors/3", [false, false, false, true]),
            ("POST", "/v1/stop", [false, false, false, true]),
            ("POST", "/v1/log/copies", [false, false, false, true]),
            ("POST", "/v1/batches", [false, false, false, true]),
            ("POST", "/v1/sets/plan", [false, true, true, true]),
            ("POST", "/v1/labels", [false, true, true, true]),
            ("GET", "/v1/learnt", [false, true, true, true]),
            ("PUT", "/v1/learnt/stick", [false, false, true, true]),
            ("POST", "/v1/learnt/forget", [false, false, true, true]),
            ("GET", "/v1/folder", [false, true, true, true]),
            ("PUT", "/v1/folder", [false, false, false, true]),
            ("PUT", "/v1/folder/veil", [false, false, true, true]),
            ("GET", bench, [false, true, true, true]),
            ("POST", bench, [false, false, true, true]),
            ("PUT", "/v1/benches/main/scale", [false, false, false, true]),
        ];
        let callers = [
            Caller::Stranger,
            Caller::Visitor(Role::Viewer),
            Caller::Visitor(Role::Operator),
            Caller::Owner,
        ];
        for (method, path, expected) in table {
            let method: Method = method.parse().unwrap();
            let may = callers.map(|caller| caller.may(&method, path));
            assert_eq!(may, expected, "{method} {path}");
        }
    }
}
