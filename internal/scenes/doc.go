// Package scenes invents passbands of audio with transmissions of all modes, has them surveyed, and compares what was found
// with what was sent.
package scenes
