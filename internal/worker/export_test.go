package worker

// Fence is fence, for children that misbehave behind it.
var Fence = fence
