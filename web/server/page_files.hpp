// The embedded page: entity tags, packed or plain, and how long a browser may keep each (RFC 9110 and 9111).
#pragma once

#include <optional>
#include <span>

#include "web/assets.hpp"
#include "web/http.hpp"

namespace drumwatch {

/// Nothing when no file has this path. The plain and the packed form have strong tags of their own, a 304
/// carries the fields of the 200; the index page is always asked again, hashed names are kept for a year.
std::optional<Response> answer_page_file(std::span<const Asset> assets, const Request& request);

/// Accept-Encoding allows gzip (RFC 9110, 12.5.3): named, or "*", and not with q=0.
bool accepts_gzip(std::string_view accept_encoding);
/// If-None-Match names this quoted tag, or "*"; weak comparison (RFC 9110, 8.8.3.2 and 13.1.2).
bool matches_tag(std::string_view if_none_match, std::string_view quoted_tag);

}  // namespace drumwatch
