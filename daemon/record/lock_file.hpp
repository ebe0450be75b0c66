// "One daemon a record": a file PATH.lock beside it, held by flock for as long as this object lives. The file
// stays (removing it would open a race); the lock goes with the process, however that ends.
#pragma once

#include <string>
#include <utility>

#include "core/result.hpp"

namespace drumwatch {

class LockFile {
  public:
    static Result<LockFile> take(const std::string& record_path);
    ~LockFile();
    LockFile(LockFile&& other) noexcept : file_(std::exchange(other.file_, -1)) {}
    LockFile& operator=(LockFile&&) = delete;
    LockFile(const LockFile&) = delete;
    LockFile& operator=(const LockFile&) = delete;

  private:
    explicit LockFile(int file) : file_(file) {}
    int file_;
};

}  // namespace drumwatch
