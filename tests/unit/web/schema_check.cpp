#include "schema_check.hpp"

#include <algorithm>
#include <set>

namespace drumwatch {
namespace {

using Json = nlohmann::json;

bool is_type(const Json& value, const std::string& type) {
    if (type == "null") return value.is_null();
    if (type == "boolean") return value.is_boolean();
    if (type == "string") return value.is_string();
    if (type == "integer") return value.is_number_integer();
    if (type == "number") return value.is_number();
    if (type == "array") return value.is_array();
    return type == "object" && value.is_object();
}

bool is_one_of_types(const Json& value, const Json& types) {
    if (types.is_string()) return is_type(value, types.get<std::string>());
    return std::any_of(types.begin(), types.end(),
                       [&](const Json& type) { return is_type(value, type.get<std::string>()); });
}

class Checker {
  public:
    explicit Checker(const Json& document) : document_(document) {}
    std::vector<std::string> found;

    void check(const Json& schema, const Json& value, const std::string& place) {
        for (const auto& [keyword, rule] : schema.items()) {
            if (keyword == "$ref") {
                check(document_.at(Json::json_pointer(rule.get<std::string>().substr(1))), value, place);
            } else if (keyword == "type") {
                if (!is_one_of_types(value, rule)) found.push_back(place + ": not of type " + rule.dump());
            } else if (keyword == "enum") {
                if (std::find(rule.begin(), rule.end(), value) == rule.end())
                    found.push_back(place + ": not one of " + rule.dump());
            } else if (keyword == "anyOf") {
                check_any(rule, value, place);
            } else if (keyword == "items") {
                for (std::size_t i = 0; value.is_array() && i < value.size(); ++i) {
                    check(rule, value[i], place + "/" + std::to_string(i));
                }
            } else if (value.is_object()) {
                check_object(schema, keyword, rule, value, place);
            } else {
                known(keyword, place);
            }
        }
    }

  private:
    void check_any(const Json& rule, const Json& value, const std::string& place) {
        std::string all;
        for (const Json& one : rule) {
            const auto mismatches = schema_mismatches(document_, one, value, place);
            if (mismatches.empty()) return;
            all += mismatches.front() + "; ";
        }
        found.push_back(place + ": fits none: " + all);
    }

    void check_object(const Json& schema, const std::string& keyword, const Json& rule, const Json& value,
                      const std::string& place) {
        if (keyword == "required") {
            for (const Json& key : rule) {
                if (!value.contains(key.get<std::string>())) found.push_back(place + ": lacks " + key.dump());
            }
        } else if (keyword == "properties") {
            for (const auto& [key, of_key] : rule.items()) {
                if (value.contains(key)) check(of_key, value[key], place + "/" + key);
            }
        } else if (keyword == "additionalProperties") {
            for (const auto& [key, member] : value.items()) {
                if (schema.contains("properties") && schema["properties"].contains(key)) continue;
                if (rule == false) found.push_back(place + ": unknown key " + key);
                if (rule.is_object()) check(rule, member, place + "/" + key);
            }
        } else if (keyword == "minProperties") {
            if (value.size() < rule.get<std::size_t>()) found.push_back(place + ": too few keys");
        } else if (keyword == "maxProperties") {
            if (value.size() > rule.get<std::size_t>()) found.push_back(place + ": too many keys");
        } else {
            known(keyword, place);
        }
    }

    void known(const std::string& keyword, const std::string& place) {
        static const std::set<std::string> kNoted{
            "description",          "format",        "required",     "properties",
            "additionalProperties", "minProperties", "maxProperties"};
        if (!kNoted.contains(keyword)) found.push_back(place + ": keyword not known here: " + keyword);
    }

    const Json& document_;
};

}  // namespace

std::vector<std::string> schema_mismatches(const Json& document, const Json& schema, const Json& value,
                                           const std::string& place) {
    Checker checker(document);
    checker.check(schema, value, place);
    return checker.found;
}

}  // namespace drumwatch
