// The JSON answers that are not data. Errors as RFC 9457 problem details: {"type": "about:blank", "title",
// "status", "detail"}, where the title is the status in words and the detail is a sentence for a person.
#pragma once

#include <string>
#include <vector>

#include "web/http.hpp"

namespace drumwatch {

/// One mistake in a request's body, with its place as a JSON Pointer (RFC 6901); an extension member
/// "errors".
struct BodyMistake {
    std::string pointer;
    std::string detail;
};

Response problem(int status, const std::string& detail, const std::vector<BodyMistake>& mistakes = {});

/// What a command that was taken answers: {"recorded": true, "text": "..."}.
Response recorded_response(int status, bool recorded, const std::string& text);

}  // namespace drumwatch
