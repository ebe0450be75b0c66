// The page's files, embedded when the page is built: web/page makes the definition of page_assets() in
// library drumwatch_page. Lives as long as the program; read-only, any thread.
#pragma once

#include <span>
#include <string_view>

namespace drumwatch {

struct Asset {
    std::string_view path;          ///< as requested: "/" is the index page, "/app-3f2a.js" ...
    std::string_view content_type;  ///< exact, with charset where it is text
    std::string_view etag;          ///< of the plain form, without quotes: e.g. the hash of its bytes
    std::span<const unsigned char> plain;
    std::span<const unsigned char> gzip;  ///< empty: not worth packing
    bool immutable = false;               ///< the name carries the hash, so that it may be kept for a year
};

std::span<const Asset> page_assets();

}  // namespace drumwatch
