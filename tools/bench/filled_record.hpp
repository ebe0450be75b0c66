// Records for benchmarks, written through the recorder's own writer; only the waiting for the disk is left
// out. What can't be done ends the program with a sentence.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "record/batch_writer.hpp"

namespace drumwatch {

[[noreturn]] void give_up(const std::string& why);

std::unique_ptr<BatchWriter> writer_of(const std::string& path);
void commit(BatchWriter& writer, const CommitGroup& group);
/// Upkeep until nothing is left to do.
void tidy(BatchWriter& writer, bool quiet);
/// With a beginning as long as a station's with its targets.
WatchRow watch_of(std::uint64_t id);
/// Many roasts with ten seconds of frames each, ten in a watch: a start looks at rows, not at frames.
void fill(const std::string& path, std::uint64_t roasts);

double median(std::vector<double> values);

}  // namespace drumwatch
