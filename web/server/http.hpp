// One HTTP request and its response as plain data, so that everything but the sockets can be read and tested
// without them. Field names as RFC 9110 writes them. Thread: any.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace drumwatch {

/// What a handler may look at. Absent header fields are empty.
struct Request {
    std::string method;
    std::string path;   ///< as sent, before the first '?'; still percent-encoded
    std::string query;  ///< after it
    std::string host;
    std::string origin;
    std::string content_type;
    std::string drumwatch;  ///< X-Drumwatch, which a page of another site can't send unasked
    std::string if_none_match;
    std::string accept_encoding;
    std::string last_event_id;
    std::string body;
};

/// The body is either owned (`text`, shared so that many may send one) or bytes that live as long as the
/// program.
struct Response {
    int status = 200;
    std::string content_type;
    std::vector<std::pair<std::string, std::string>> fields;  ///< beside those that every response has
    std::shared_ptr<const std::string> text;
    std::span<const unsigned char> bytes;
    std::size_t body_size() const { return text ? text->size() : bytes.size(); }
};

/// "Not Found" for 404 (RFC 9110, 15); "Unknown" for a number that we never send.
std::string_view reason_phrase(int status);
/// Status line and header section with its empty line; without Content-Length for a stream or a 304.
std::string head_text(const Response& response, bool keep_alive, bool stream);
/// "%20" -> " " (RFC 3986, 2.1). A broken escape stays as it is.
std::string percent_decoded(std::string_view text);
/// Value of the first `key` in a query string, decoded; empty when absent.
std::string query_value(std::string_view query, std::string_view key);

Response text_response(int status, std::string content_type, std::string body);

}  // namespace drumwatch
