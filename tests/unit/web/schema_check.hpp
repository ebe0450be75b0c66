// The part of JSON Schema 2020-12 that openapi.json uses, checked by reading the schema (not our code). An
// unknown keyword is a complaint of its own, so that nothing is passed over.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace drumwatch {

/// Every mismatch as "place: what"; empty: it fits. `document` resolves "#/..." references.
std::vector<std::string> schema_mismatches(const nlohmann::json& document, const nlohmann::json& schema,
                                           const nlohmann::json& value, const std::string& place = "");

}  // namespace drumwatch
