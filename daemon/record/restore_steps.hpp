// The part of a restore that moves files, so that a power cut at any instant of it is made good by whoever
// opens the record next (restore.hpp says why it is right). Thread: whoever holds the record's lock; blocks
// on the disk.
#pragma once

#include <string>

#include "core/result.hpp"

namespace drumwatch {

/// Where the backup's copy is made: RECORD.restored.
std::string restored_copy(const std::string& record);

/// Sets aside what is at `record` and puts the copy, which must be whole and synced, in its place. Gives
/// where the record that was there lies now; empty: there was none.
Result<std::string> put_in_place(const std::string& record);

/// True: a restore was cut off half-way, and what is at `record` must not be read before finish_restore().
bool restore_is_half_done(const std::string& record);

/// Ends a restore that was cut off, or takes away what one left that had changed nothing yet. Gives a
/// sentence that says so; empty: there was none.
Result<std::string> finish_restore(const std::string& record);

}  // namespace drumwatch
