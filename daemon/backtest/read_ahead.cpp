#include "backtest/read_ahead.hpp"

#include <new>
#include <utility>

namespace drumwatch {

namespace {

constexpr std::size_t kAhead = 4;

ReadRoast read_one(const std::string& path, const TargetCurve* target) {
    try {
        ReadRoast roast{path, read_roast_csv(path), {}};
        if (roast.file) roast.facts = facts_of(roast.file.value(), target);
        return roast;
    } catch (const std::bad_alloc&) {
        return {path, Error{path + ": there is not enough memory to read it"}, {}};
    }
}

}  // namespace

ReadAhead::ReadAhead(std::vector<std::string> paths, const TargetCurve* target)
    : paths_(std::move(paths)), target_(target), thread_([this] { run(); }) {}

ReadAhead::~ReadAhead() {
    {
        const std::lock_guard lock(mutex_);
        stopping_ = true;
    }
    changed_.notify_all();
    thread_.join();
}

std::optional<ReadRoast> ReadAhead::next() {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return !read_.empty() || all_read_; });
    if (read_.empty()) return std::nullopt;
    ReadRoast roast = std::move(read_.front());
    read_.pop_front();
    changed_.notify_all();
    return roast;
}

void ReadAhead::run() {
    for (const std::string& path : paths_)
        if (!hand_over(read_one(path, target_))) return;
    const std::lock_guard lock(mutex_);
    all_read_ = true;
    changed_.notify_all();
}

/// False where nobody wants it any more.
bool ReadAhead::hand_over(ReadRoast roast) {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return read_.size() < kAhead || stopping_; });
    if (stopping_) return false;
    read_.push_back(std::move(roast));
    changed_.notify_all();
    return true;
}

}  // namespace drumwatch
