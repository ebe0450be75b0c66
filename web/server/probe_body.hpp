// Bodies of what is said of probes: POST /api/probes/... and /api/target/confirm.
#pragma once

#include "web/api.hpp"
#include "web/body_fields.hpp"
#include "web/routes.hpp"

namespace drumwatch {

bool is_of_probes(Endpoint endpoint);
/// Mistakes are noted in `fields`; with any, what is returned means nothing.
ProbeSaid read_probe_said(Endpoint endpoint, Fields& fields);

}  // namespace drumwatch
