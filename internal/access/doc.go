// Package access says who may use the station's page and interface.
package access
