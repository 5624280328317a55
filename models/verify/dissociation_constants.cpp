#include "models/verify/verification.h"

namespace wetrun {

void verify_dissociation_constants(Verification&) {}

}  // namespace wetrun
