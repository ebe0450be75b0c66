#include "web/http.hpp"

#include <fmt/format.h>

#include <array>

namespace drumwatch {
namespace {

struct Phrase {
    int status;
    std::string_view text;
};
constexpr std::array kPhrases{
    Phrase{200, "OK"},
    Phrase{202, "Accepted"},
    Phrase{304, "Not Modified"},
    Phrase{400, "Bad Request"},
    Phrase{403, "Forbidden"},
    Phrase{404, "Not Found"},
    Phrase{405, "Method Not Allowed"},
    Phrase{409, "Conflict"},
    Phrase{413, "Content Too Large"},
    Phrase{415, "Unsupported Media Type"},
    Phrase{421, "Misdirected Request"},
    Phrase{422, "Unprocessable Content"},
    Phrase{431, "Request Header Fields Too Large"},
    Phrase{500, "Internal Server Error"},
    Phrase{501, "Not Implemented"},
    Phrase{503, "Service Unavailable"},
    Phrase{504, "Gateway Timeout"},
    Phrase{505, "HTTP Version Not Supported"},
};

// The page brings all it needs, nothing may frame it, and no other site reads our answers (no CORS field).
constexpr std::string_view kEveryResponse =
    "Content-Security-Policy: default-src 'self'; object-src 'none'; base-uri 'none'; "
    "frame-ancestors 'none'; form-action 'self'\r\n"
    "X-Content-Type-Options: nosniff\r\n"
    "Referrer-Policy: no-referrer\r\n"
    "Cross-Origin-Resource-Policy: same-origin\r\n";

int hex_digit(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

}  // namespace

std::string_view reason_phrase(int status) {
    for (const Phrase& phrase : kPhrases) {
        if (phrase.status == status) return phrase.text;
    }
    return "Unknown";
}

std::string head_text(const Response& response, bool keep_alive, bool stream) {
    std::string head = fmt::format("HTTP/1.1 {} {}\r\n", response.status, reason_phrase(response.status));
    if (!response.content_type.empty()) head += fmt::format("Content-Type: {}\r\n", response.content_type);
    for (const auto& [name, value] : response.fields) head += fmt::format("{}: {}\r\n", name, value);
    head += kEveryResponse;
    if (stream) {
        head += "Transfer-Encoding: chunked\r\n";
    } else if (response.status != 304) {
        head += fmt::format("Content-Length: {}\r\n", response.body_size());
    }
    head += keep_alive ? "Connection: keep-alive\r\n\r\n" : "Connection: close\r\n\r\n";
    return head;
}

std::string percent_decoded(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool room = text[i] == '%' && i + 2 < text.size();
        const int high = room ? hex_digit(text[i + 1]) : -1;
        const int low = room ? hex_digit(text[i + 2]) : -1;
        if (high >= 0 && low >= 0) {
            out += static_cast<char>(high * 16 + low);
            i += 2;
        } else {
            out += text[i];
        }
    }
    return out;
}

std::string query_value(std::string_view query, std::string_view key) {
    while (!query.empty()) {
        const std::string_view pair = query.substr(0, query.find('&'));
        query.remove_prefix(std::min(query.size(), pair.size() + 1));
        const std::size_t equals = pair.find('=');
        if (equals != std::string_view::npos && pair.substr(0, equals) == key) {
            return percent_decoded(pair.substr(equals + 1));
        }
    }
    return {};
}

Response text_response(int status, std::string content_type, std::string body) {
    Response response;
    response.status = status;
    response.content_type = std::move(content_type);
    response.text = std::make_shared<const std::string>(std::move(body));
    return response;
}

}  // namespace drumwatch
