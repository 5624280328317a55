#include "models/verify/verification.h"

namespace wetrun {

void verify_hydraulics(Verification&) {}

}  // namespace wetrun
