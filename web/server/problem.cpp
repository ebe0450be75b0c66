#include "web/problem.hpp"

#include <nlohmann/json.hpp>

namespace drumwatch {
namespace {

using Json = nlohmann::ordered_json;

std::string written(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

}  // namespace

Response problem(int status, const std::string& detail, const std::vector<BodyMistake>& mistakes) {
    Json body = {{"type", "about:blank"},
                 {"title", std::string(reason_phrase(status))},
                 {"status", status},
                 {"detail", detail}};
    for (const BodyMistake& mistake : mistakes) {
        body["errors"].push_back({{"pointer", mistake.pointer}, {"detail", mistake.detail}});
    }
    Response response = text_response(status, "application/problem+json", written(body));
    response.fields.emplace_back("Cache-Control", "no-store");
    return response;
}

Response recorded_response(int status, bool recorded, const std::string& text) {
    return text_response(status, "application/json", written({{"recorded", recorded}, {"text", text}}));
}

}  // namespace drumwatch
