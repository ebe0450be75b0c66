#include "web/page_files.hpp"

#include <algorithm>
#include <string>

namespace drumwatch {
namespace {

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
    return text;
}

std::string_view take_item(std::string_view& list) {
    const std::string_view item = list.substr(0, list.find(','));
    list.remove_prefix(std::min(list.size(), item.size() + 1));
    return trimmed(item);
}

bool same_word(std::string_view a, std::string_view lower_case) {
    return a.size() == lower_case.size() &&
           std::equal(a.begin(), a.end(), lower_case.begin(), [](char x, char y) {
               return (x >= 'A' && x <= 'Z' ? static_cast<char>(x - 'A' + 'a') : x) == y;
           });
}

/// Weight 0 in all its spellings: q=0, q=0.0, q=0.00, q=0.000.
bool is_refused(std::string_view parameters) {
    const std::size_t at = parameters.find("q=");
    if (at == std::string_view::npos) return false;
    const std::string_view weight = trimmed(parameters.substr(at + 2));
    return weight.starts_with('0') && weight.find_first_of("123456789") == std::string_view::npos;
}

}  // namespace

bool accepts_gzip(std::string_view accept_encoding) {
    bool any = false;
    while (!accept_encoding.empty()) {
        const std::string_view item = take_item(accept_encoding);
        const std::size_t semicolon = std::min(item.find(';'), item.size());
        const std::string_view coding = trimmed(item.substr(0, semicolon));
        const bool wanted = !is_refused(item.substr(semicolon));
        if (same_word(coding, "gzip")) return wanted;
        if (coding == "*") any = wanted;
    }
    return any;
}

bool matches_tag(std::string_view if_none_match, std::string_view quoted_tag) {
    if (trimmed(if_none_match) == "*") return true;
    while (!if_none_match.empty()) {
        std::string_view item = take_item(if_none_match);
        if (item.starts_with("W/")) item.remove_prefix(2);
        if (item == quoted_tag) return true;
    }
    return false;
}

std::optional<Response> answer_page_file(std::span<const Asset> assets, const Request& request) {
    const auto found = std::find_if(assets.begin(), assets.end(),
                                    [&](const Asset& asset) { return asset.path == request.path; });
    if (found == assets.end()) return std::nullopt;
    const bool packed = !found->gzip.empty() && accepts_gzip(request.accept_encoding);
    const std::string tag = '"' + std::string(found->etag) + (packed ? "-gzip\"" : "\"");
    Response response;
    response.content_type = found->content_type;
    response.fields = {
        {"ETag", tag},
        {"Vary", "Accept-Encoding"},
        {"Cache-Control", found->immutable ? "public, max-age=31536000, immutable" : "no-cache"}};
    if (packed) response.fields.emplace_back("Content-Encoding", "gzip");
    if (matches_tag(request.if_none_match, tag)) {
        response.status = 304;
    } else {
        response.bytes = packed ? found->gzip : found->plain;
    }
    return response;
}

}  // namespace drumwatch
