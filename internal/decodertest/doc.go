// Package decodertest holds every mode's decoder to one contract: what comes out does not depend on how the samples
// are cut into blocks, blocks are neither kept nor changed, Flush starts afresh, nothing that is written breaks a
// decoder, and once it is warm Write allocates nothing but what it must keep.
package decodertest
