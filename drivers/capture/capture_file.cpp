#include "drivers/capture/capture_file.hpp"

#include <fmt/core.h>

#include <cerrno>
#include <cstring>

namespace drumwatch {

Error CaptureFile::wrong(const std::string& what) const {
    return Error{fmt::format("{}:{}: the line {}", path_, number_, what)};
}

Result<CaptureFile> CaptureFile::open(const std::string& path) {
    CaptureFile capture(path, std::unique_ptr<std::FILE, Close>(std::fopen(path.c_str(), "rbe")));
    if (!capture.file_) return Error{fmt::format("cannot read {}: {}", path, std::strerror(errno))};
    if (const auto begun = capture.rewind(); !begun) return Error{begun.error()};
    return capture;
}

Result<Done> CaptureFile::rewind() {
    std::rewind(file_.get());
    number_ = 0;
    newest_ms_ = 0;
    const auto first = line();
    if (!first) return Error{first.error()};
    if (!first.value()) return Error{path_ + ": is empty, or no capture"};
    auto header = parse_capture_header(*first.value());
    if (!header) return wrong(header.error());
    header_ = std::move(header.value());
    return Done{};
}

Result<std::optional<std::string>> CaptureFile::line() {
    std::string text;
    ++number_;
    for (int byte = 0; (byte = std::getc(file_.get())) != EOF;) {
        if (byte == '\n') return std::optional(std::move(text));
        if (text.size() == kMaxCaptureLine)
            return wrong(fmt::format("is longer than {} bytes", kMaxCaptureLine));
        text += static_cast<char>(byte);
    }
    if (std::ferror(file_.get()) != 0)
        return Error{fmt::format("cannot read {}: {}", path_, std::strerror(errno))};
    return std::optional<std::string>();
}

Result<std::optional<CapturedLine>> CaptureFile::next_of_any_kind() {
    const auto text = line();
    if (!text) return Error{text.error()};
    if (!text.value()) return std::optional<CapturedLine>();
    auto read = parse_captured_line(*text.value(), header_);
    if (!read) return wrong(read.error());
    const std::int64_t ms = std::visit([](const auto& any) { return any.ms; }, read.value());
    if (ms < newest_ms_) return wrong("has a time before that of the line above");
    newest_ms_ = ms;
    return std::optional(std::move(read.value()));
}

Result<std::optional<CapturedPoll>> CaptureFile::next() {
    for (;;) {
        auto read = next_of_any_kind();
        if (!read) return Error{read.error()};
        if (!read.value()) return std::optional<CapturedPoll>();
        if (auto* poll = std::get_if<CapturedPoll>(&*read.value())) return std::optional(std::move(*poll));
    }
}

}  // namespace drumwatch
