#include "models/verify/verification.h"

namespace wetrun {

void verify_ph_standards(Verification&) {}

}  // namespace wetrun
