// A capture as a file, read line by line.
//
// One thread. Memory is that of one line. What stands behind the last line end is left out: the box died
// while it was written.
#pragma once

#include <cstdio>
#include <memory>
#include <optional>
#include <string>

#include "core/result.hpp"
#include "drivers/capture/capture_text.hpp"

namespace drumwatch {

class CaptureFile {
  public:
    /// Reads the first line. Errors are "FILE: ..." or "FILE:LINE: ...".
    static Result<CaptureFile> open(const std::string& path);
    const CaptureHeader& header() const { return header_; }
    /// The next poll; nothing at the end. Times never go back. Bytes are seen to be well formed and left out.
    Result<std::optional<CapturedPoll>> next();
    /// To the first poll again.
    Result<Done> rewind();

  private:
    struct Close {
        void operator()(std::FILE* file) const { std::fclose(file); }
    };
    CaptureFile(std::string path, std::unique_ptr<std::FILE, Close> file)
        : path_(std::move(path)), file_(std::move(file)) {}
    Result<std::optional<std::string>> line();
    Result<std::optional<CapturedLine>> next_of_any_kind();
    Error wrong(const std::string& what) const;

    std::string path_;
    std::unique_ptr<std::FILE, Close> file_;
    CaptureHeader header_;
    int number_ = 0;
    std::int64_t newest_ms_ = 0;
};

}  // namespace drumwatch
