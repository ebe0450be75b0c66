// The part of verify_record() (verify.hpp) that walks the chain of seals and holds each roast against its
// last one. Thread: the connection's; within one transaction.
#pragma once

#include <cstdint>
#include <functional>
#include <string>

#include "record/database.hpp"
#include "record/verify.hpp"

namespace drumwatch {

/// `say` is given a sentence for each thing that is not as it was sealed. Counts go into `found`.
void verify_seals(Database& database, const VerifyOrder& order, VerifyFound& found,
                  const std::function<void(std::string)>& say);

}  // namespace drumwatch
