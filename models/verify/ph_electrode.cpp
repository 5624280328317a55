#include "models/verify/verification.h"

namespace wetrun {

void verify_ph_electrode(Verification&) {}

}  // namespace wetrun
